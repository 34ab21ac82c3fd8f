// Range of k standard normals: P(range < w) = k * integral of phi(z) [Phi(z) - Phi(z - w)]^(k-1) dz, where z
// is the largest of the k (Harter 1960). With an estimated standard deviation the probability is averaged
// over the distribution of s. Gauss-Legendre throughout; quantiles by bracketing. No table is rounded.
#include "stats/chi_scale.hpp"

#include <thresh/stats/distributions.hpp>
#include <thresh/stats/repeatability.hpp>

#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace thresh::stats {
namespace {

constexpr double reach = 9.0; // standard normals beyond carry less than 1e-18
constexpr int panels = 18;

double normal_density(double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

// Density and probability at the nodes: the same for every width and number of normals.
struct Node {
    double density = 0.0, below = 0.0;
};
using Nodes = std::array<Node, 20 * static_cast<std::size_t>(panels)>;

Nodes make_nodes() {
    Nodes nodes;
    integrate_numbered(
        [&](std::size_t number, double z) {
            nodes[number] = {normal_density(z), normal_cdf(z)};
            return 0.0;
        },
        -reach, reach, panels);
    return nodes;
}

double range_cdf(double w, int k) {
    if (w <= 0.0)
        return 0.0;
    static const Nodes nodes = make_nodes();
    const auto integrand = [&](std::size_t number, double z) {
        return nodes[number].density * std::pow(nodes[number].below - normal_cdf(z - w), k - 1);
    };
    return std::fmin(1.0, k * integrate_numbered(integrand, -reach, reach, panels));
}

} // namespace

double studentized_range_cdf(double q, int groups, double df) {
    assert(groups >= 2 && df > 0.0);
    if (q <= 0.0)
        return 0.0;
    if (std::isinf(df))
        return range_cdf(q, groups);
    return std::fmin(1.0, ChiScale(df).expect([&](double s) { return range_cdf(q * s, groups); }));
}

double studentized_range_quantile(double p, int groups, double df) {
    assert(p > 0.0 && p < 1.0);
    return increasing_root([&](double q) { return studentized_range_cdf(q, groups, df) - p; }, 0.0, 4.0);
}

double critical_range_factor(int n, double probability) {
    return studentized_range_quantile(probability, n, std::numeric_limits<double>::infinity());
}

RangeMoments range_moments(int n) {
    assert(n >= 2);
    const double top = 2.0 * reach;
    const double first = integrate([&](double w) { return 1.0 - range_cdf(w, n); }, 0.0, top, 12);
    const double second =
        integrate([&](double w) { return 2.0 * w * (1.0 - range_cdf(w, n)); }, 0.0, top, 12);
    return {first, std::sqrt(second - first * first)};
}

} // namespace thresh::stats

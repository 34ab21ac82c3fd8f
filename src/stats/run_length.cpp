// A run length L(u) from state u obeys L(u) = 1 + (chance of the resting state) L(0) + integral of L(y) times
// the density of the next state y. At quadrature nodes this is a small system of linear equations. Limits are
// found by bracketing the logarithm of the run length, which is nearly straight in the limit.
#include "stats/quadrature.hpp"

#include <thresh/stats/distributions.hpp>
#include <thresh/stats/run_length.hpp>

#include <Eigen/Dense>
#include <cassert>
#include <cmath>
#include <numbers>
#include <vector>

namespace thresh::stats {
namespace {

double density(double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

struct Nodes {
    std::vector<double> at, weight;
};

// Composite rule over [from, to]; panels as narrow as the density asks for.
Nodes nodes(double from, double to, double scale) {
    using Rule = boost::math::quadrature::gauss<double, 10>;
    const int panels = std::clamp(static_cast<int>(std::ceil((to - from) / (2.0 * scale))), 2, 40);
    const double half = 0.5 * (to - from) / panels;
    Nodes made;
    for (int panel = 0; panel < panels; ++panel) {
        const double centre = from + (2 * panel + 1) * half;
        for (std::size_t i = 0; i < Rule::abscissa().size(); ++i)
            for (const double side : {-1.0, 1.0}) {
                made.at.push_back(centre + side * half * Rule::abscissa()[i]);
                made.weight.push_back(half * Rule::weights()[i]);
            }
    }
    return made;
}

// Solves L = 1 + rest(u) L(start) + sum of weights; `start` is the state that a chart begins in and, for the
// CUSUM, rests in.
template <typename Rest, typename Density>
double solve(const Nodes& grid, double start, const Rest& rest, const Density& next) {
    const auto n = static_cast<Eigen::Index>(grid.at.size());
    Eigen::MatrixXd system(n + 1, n + 1);
    for (Eigen::Index i = 0; i <= n; ++i) {
        const double u = i == n ? start : grid.at[static_cast<std::size_t>(i)];
        for (Eigen::Index j = 0; j < n; ++j) {
            const auto at = static_cast<std::size_t>(j);
            system(i, j) = (i == j ? 1.0 : 0.0) - grid.weight[at] * next(u, grid.at[at]);
        }
        system(i, n) = (i == n ? 1.0 : 0.0) - rest(u);
    }
    return system.partialPivLu().solve(Eigen::VectorXd::Ones(n + 1))[n];
}

// The limit at which `length` reaches `wanted`.
template <typename Length>
double limit_for(const Length& length, double wanted) {
    return increasing_root(
        [&](double limit) { return limit <= 0.0 ? -1.0 : std::log(length(limit) / wanted); }, 0.0, 6.0);
}

} // namespace

double shewhart_run_length(double limit) {
    return 1.0 / (2.0 * normal_upper(limit));
}

double shewhart_limit(double run_length) {
    assert(run_length > 1.0);
    return -normal_quantile(0.5 / run_length);
}

double cusum_run_length(double k, double h) {
    assert(k >= 0.0 && h > 0.0);
    const double one_side = solve(
        nodes(0.0, h, 1.0), 0.0, [&](double u) { return normal_cdf(k - u); },
        [&](double u, double y) { return density(y + k - u); });
    return 0.5 * one_side;
}

double cusum_decision(double k, double run_length) {
    assert(run_length > 2.0);
    return limit_for([&](double h) { return cusum_run_length(k, h); }, run_length);
}

double ewma_run_length(double lambda, double width) {
    assert(lambda > 0.0 && lambda <= 1.0 && width > 0.0);
    const double limit = width * std::sqrt(lambda / (2.0 - lambda));
    return solve(
        nodes(-limit, limit, lambda), 0.0, [](double) { return 0.0; },
        [&](double u, double y) { return density((y - (1.0 - lambda) * u) / lambda) / lambda; });
}

double ewma_width(double lambda, double run_length) {
    assert(run_length > 2.0);
    return limit_for([&](double width) { return ewma_run_length(lambda, width); }, run_length);
}

} // namespace thresh::stats

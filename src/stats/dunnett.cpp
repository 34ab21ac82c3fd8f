// Many-to-one comparisons. Given the control's error z, the comparisons are independent, so that the chance
// that any exceeds u (known variance) is a one-dimensional integral; over the distribution of s it is
// averaged. The first integral is tabulated as piecewise Chebyshev polynomials of its logarithm, which makes
// thousands of p-values cheap. Correlations that are not products of loadings are not covered.
#include "stats/chi_scale.hpp"

#include <thresh/stats/distributions.hpp>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace thresh::stats {
namespace {

constexpr std::size_t most_classes = 24;
constexpr double beyond = 37.0; // a standard normal exceeds this with probability below the smallest double

struct LoadingClass {
    double loading = 0.0;
    double count = 0.0;
};

// Equal loadings share a class; when there are too many different ones, neighbours by size are averaged.
std::vector<LoadingClass> classify(std::span<const double> loadings) {
    std::vector<double> sorted(loadings.begin(), loadings.end());
    std::sort(sorted.begin(), sorted.end());
    std::vector<LoadingClass> classes;
    for (double loading : sorted) {
        if (classes.empty() || loading - classes.back().loading > 1e-12)
            classes.push_back({loading, 0.0});
        classes.back().count += 1.0;
    }
    if (classes.size() <= most_classes)
        return classes;
    classes.clear();
    for (std::size_t c = 0; c < most_classes; ++c) {
        const std::size_t from = c * sorted.size() / most_classes;
        const std::size_t to = (c + 1) * sorted.size() / most_classes;
        double sum = 0.0;
        for (std::size_t i = from; i < to; ++i)
            sum += sorted[i];
        const double count = static_cast<double>(to - from);
        classes.push_back({sum / count, count});
    }
    return classes;
}

// Chance that any comparison exceeds u when the variance is known.
double exceedance(double u, const std::vector<LoadingClass>& classes, Side side) {
    const auto integrand = [&](double z) {
        double log_inside = 0.0;
        for (const LoadingClass& c : classes) {
            const double scale = std::sqrt(1.0 - c.loading * c.loading);
            double outside = normal_upper((u - c.loading * z) / scale);
            if (side == Side::two_sided)
                outside += normal_upper((u + c.loading * z) / scale);
            log_inside += c.count * std::log1p(-std::min(outside, 1.0));
        }
        return std::exp(-0.5 * z * z) * -std::expm1(log_inside);
    };
    // Two-sided, the integrand is even in z. The upper tail needs z well beyond u.
    const bool even = side == Side::two_sided;
    const double top = 9.0 + std::max(0.0, u);
    const double low = even ? 0.0 : -top;
    const int panels = static_cast<int>(std::ceil((top - low) / 0.8));
    const double factor = (even ? 2.0 : 1.0) / std::sqrt(2.0 * std::numbers::pi);
    return std::min(1.0, factor * integrate(integrand, low, top, panels));
}

// log exceedance on [low, high] in panels of unit width, 17 Chebyshev points each.
class ExceedanceTable {
  public:
    ExceedanceTable(const std::vector<LoadingClass>& classes, Side side, double low, double high)
        : low_(low), panels_(static_cast<std::size_t>(std::max(1.0, std::ceil(high - low)))),
          logs_(panels_ * points) {
        for (std::size_t panel = 0; panel < panels_; ++panel)
            for (std::size_t k = 0; k < points; ++k)
                logs_[panel * points + k] = std::log(
                    std::max(exceedance(low_ + static_cast<double>(panel) + node(k), classes, side), 1e-300));
    }

    double operator()(double u) const {
        const double offset = std::clamp(u - low_, 0.0, static_cast<double>(panels_));
        const std::size_t panel = std::min(static_cast<std::size_t>(offset), panels_ - 1);
        const double x = offset - static_cast<double>(panel);
        double above = 0.0;
        double below = 0.0;
        for (std::size_t k = 0; k < points; ++k) {
            const double distance = x - node(k);
            if (distance == 0.0)
                return std::exp(logs_[panel * points + k]);
            const double sign = k % 2 == 0 ? 1.0 : -1.0;
            const double weight = sign * (k == 0 || k == points - 1 ? 0.5 : 1.0) / distance;
            above += weight * logs_[panel * points + k];
            below += weight;
        }
        return std::exp(above / below);
    }

  private:
    static constexpr std::size_t points = 17;
    static double node(std::size_t k) {
        return 0.5 -
               0.5 * std::cos(std::numbers::pi * static_cast<double>(k) / static_cast<double>(points - 1));
    }
    double low_;
    std::size_t panels_;
    std::vector<double> logs_;
};

// Simultaneous p-value over the distribution of s; `known` answers for known variance.
template <typename Known>
double averaged(double t, double df, const Known& known) {
    if (std::isinf(df))
        return known(t);
    return std::min(1.0, ChiScale(df).expect([&](double s) { return known(t * s); }));
}

double directed(double t, Side side) {
    return side == Side::two_sided ? std::fabs(t) : side == Side::less ? -t : t;
}

} // namespace

double dunnett_loading(double n, double n_control) {
    return std::sqrt(n / (n + n_control));
}

std::vector<double> dunnett_p(std::span<const double> t, std::span<const double> loadings, double df,
                              Side side) {
    assert(t.size() == loadings.size() && df > 0.0);
    std::vector<double> p(t.size(), std::numeric_limits<double>::quiet_NaN());
    double lowest = 0.0;
    double highest = 0.0;
    for (double statistic : t) {
        if (std::isnan(statistic))
            continue;
        lowest = std::min(lowest, directed(statistic, side));
        highest = std::max(highest, directed(statistic, side));
    }
    const std::vector<LoadingClass> classes = classify(loadings);
    const double stretch = std::isinf(df) ? 1.0 : ChiScale(df).high;
    const ExceedanceTable table(classes, side, std::max(lowest * stretch, -9.0),
                                std::min(highest * stretch, beyond));
    for (std::size_t i = 0; i < t.size(); ++i)
        if (!std::isnan(t[i]))
            p[i] = averaged(std::clamp(directed(t[i], side), -1e6, 1e6), df, table);
    return p;
}

double dunnett_critical(double alpha, std::span<const double> loadings, double df, Side side) {
    assert(alpha > 0.0 && alpha < 1.0 && !loadings.empty() && df > 0.0);
    const std::vector<LoadingClass> classes = classify(loadings);
    // Between the value for a single comparison and Bonferroni's bound.
    const double sides = side == Side::two_sided ? 2.0 : 1.0;
    const double count = static_cast<double>(loadings.size());
    const double low = t_quantile(1.0 - alpha / sides, df) - 1e-6;
    const double high = -t_quantile(alpha / (sides * count), df) + 1e-6;
    const double stretch = std::isinf(df) ? 1.0 : ChiScale(df).high;
    const ExceedanceTable table(classes, side, std::min(0.0, low * stretch),
                                std::min(high * stretch, beyond));
    return increasing_root([&](double t) { return alpha - averaged(t, df, table); }, low, high);
}

} // namespace thresh::stats

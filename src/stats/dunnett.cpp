// Many-to-one comparisons. Given the control's error z, the comparisons are independent, so that the chance
// that any exceeds u (known variance) is a one-dimensional integral; over the distribution of s it is
// averaged. The first integral is tabulated as piecewise Chebyshev polynomials of its logarithm, which makes
// thousands of p-values cheap. Correlations that are not products of loadings are not
// covered; trial.cpp approximates them by such.
#include "stats/chi_scale.hpp"
#include "stats/sparse_factor.hpp"

#include <thresh/stats/distributions.hpp>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace thresh::stats {
namespace {

constexpr double beyond = 37.0; // a standard normal exceeds this with probability below the smallest double

struct LoadingClass {
    double loading = 0.0;
    double count = 0.0;
};

// The Gauss rule of a discrete distribution: `points` places with weights that give the sum of any polynomial
// up to degree 2 points - 1 exactly. Lanczos' recurrence, orthogonalised anew at each step; nodes are
// eigenvalues (Golub and Welsch 1969). Precondition: more classes than points.
std::vector<LoadingClass> gauss_rule(const std::vector<LoadingClass>& classes, std::size_t points) {
    const auto n = static_cast<Eigen::Index>(classes.size()), m = static_cast<Eigen::Index>(points);
    Vector place(n), next(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        place[i] = classes[static_cast<std::size_t>(i)].loading;
        next[i] = std::sqrt(classes[static_cast<std::size_t>(i)].count);
    }
    const double total = next.squaredNorm();
    Matrix basis(n, m);
    Vector diagonal(m), beside(m - 1);
    for (Eigen::Index k = 0; k < m; ++k) {
        if (k > 0)
            beside[k - 1] = next.norm();
        basis.col(k) = next.normalized();
        next = place.cwiseProduct(basis.col(k));
        diagonal[k] = basis.col(k).dot(next);
        for (int twice = 0; twice < 2; ++twice)
            next -= basis.leftCols(k + 1) * (basis.leftCols(k + 1).transpose() * next);
    }
    Eigen::SelfAdjointEigenSolver<Matrix> spectrum;
    spectrum.computeFromTridiagonal(diagonal, beside);
    std::vector<LoadingClass> rule;
    for (Eigen::Index k = 0; k < m; ++k) {
        const double first = spectrum.eigenvectors()(0, k);
        rule.push_back({spectrum.eigenvalues()[k], total * first * first});
    }
    return rule;
}

// Equal loadings share a class. Many different ones are stood in for by a few with weights: what they
// contribute is a smooth function of the loading, steeper where a loading comes near 1.
std::vector<LoadingClass> classify(std::span<const double> loadings) {
    std::vector<double> sorted(loadings.begin(), loadings.end());
    std::sort(sorted.begin(), sorted.end());
    std::vector<LoadingClass> classes;
    for (double loading : sorted) {
        if (classes.empty() || loading - classes.back().loading > 1e-12)
            classes.push_back({loading, 0.0});
        classes.back().count += 1.0;
    }
    const double width = (sorted.back() - sorted.front()) / (1.0 - sorted.back());
    const std::size_t points = width < 0.05 ? 4 : width < 0.3 ? 6 : width < 1.0 ? 10 : 20;
    return classes.size() <= points ? classes : gauss_rule(classes, points);
}

// Chance that any comparison exceeds u when the variance is known.
double exceedance(double u, const std::vector<LoadingClass>& classes, Side side) {
    const auto integrand = [&](double z) {
        double log_inside = 0.0;
        for (const LoadingClass& c : classes) {
            const double scale = std::sqrt(1.0 - c.loading * c.loading);
            double outside = normal_upper((u - c.loading * z) / scale);
            // The other tail is smaller by exp(2 u loading z / scale^2).
            if (side == Side::two_sided && 2.0 * u * c.loading * z < 40.0 * scale * scale)
                outside += normal_upper((u + c.loading * z) / scale);
            log_inside += c.count * std::log1p(-std::min(outside, 1.0));
        }
        return std::exp(-0.5 * z * z) * -std::expm1(log_inside);
    };
    // Two-sided, the integrand is even in z. The upper tail needs z well beyond u.
    const bool even = side == Side::two_sided;
    const double most = classes.back().loading;
    const double top = 9.0 + std::max(0.0, most * u);
    const double low = even ? std::max(0.0, classes.front().loading * u - 9.0) : -9.0 - std::max(0.0, u);
    // The steps in z are as wide as scale / loading; 20 nodes see one in a panel of 3.2 unless it is steep.
    const double panel = most <= 0.75 ? 3.2 : most <= 0.9 ? 1.6 : 0.8;
    const int panels = static_cast<int>(std::ceil((top - low) / panel));
    const double factor = (even ? 2.0 : 1.0) / std::sqrt(2.0 * std::numbers::pi);
    return std::min(1.0, factor * integrate(integrand, low, top, panels));
}

// log exceedance on [low, high] in panels of unit width, 17 Chebyshev points each.
class ExceedanceTable {
  public:
    ExceedanceTable(const std::vector<LoadingClass>& classes, Side side, double low, double high)
        : low_(low), panels_(static_cast<std::size_t>(std::max(1.0, std::ceil((high - low) / width)))),
          logs_(panels_ * points) {
        for (std::size_t panel = 0; panel < panels_; ++panel)
            for (std::size_t k = 0; k < points; ++k)
                logs_[panel * points + k] = std::log(
                    std::max(exceedance(low_ + width * (static_cast<double>(panel) + node(k)), classes, side),
                             1e-300));
    }

    double operator()(double u) const {
        const double offset = std::clamp((u - low_) / width, 0.0, static_cast<double>(panels_));
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
    static constexpr double width = 1.0;
    static double node(std::size_t k) {
        static const std::array<double, points> kNodes = [] {
            std::array<double, points> made{};
            for (std::size_t i = 0; i < points; ++i)
                made[i] = 0.5 - 0.5 * std::cos(std::numbers::pi * static_cast<double>(i) /
                                               static_cast<double>(points - 1));
            return made;
        }();
        return kNodes[k];
    }
    double low_;
    std::size_t panels_;
    std::vector<double> logs_;
};

// Simultaneous p-values over the distribution of s, from a table for known variance.
class Averaged {
  public:
    Averaged(double df, const ExceedanceTable& known) : known_(known) {
        if (!std::isinf(df))
            scale_ = ChiScale(df).points();
    }
    double operator()(double t) const {
        if (scale_.empty())
            return known_(t);
        double sum = 0.0;
        for (const ChiScale::Point& point : scale_)
            if (point.weight > 0.0)
                sum += point.weight * known_(t * point.s);
        return std::min(1.0, sum);
    }

  private:
    const ExceedanceTable& known_;
    std::vector<ChiScale::Point> scale_; // empty: known variance
};

double directed(double t, Side side) {
    return side == Side::two_sided ? std::fabs(t) : side == Side::less ? -t : t;
}

} // namespace

double dunnett_loading(double n, double n_control) {
    return std::sqrt(n / (n + n_control));
}

namespace {

struct Range {
    double low = 0.0, high = 0.0;
};

// What the statistics need of a table, before the distribution of s stretches it.
Range range_of(std::span<const double> t, Side side) {
    Range range;
    for (double statistic : t)
        if (!std::isnan(statistic)) {
            range.low = std::min(range.low, directed(statistic, side));
            range.high = std::max(range.high, directed(statistic, side));
        }
    return range;
}

// The critical value lies between that for a single comparison and Bonferroni's bound.
Range bounds_of(double alpha, std::size_t comparisons, double df, Side side) {
    const double sides = side == Side::two_sided ? 2.0 : 1.0;
    return {t_quantile(1.0 - alpha / sides, df) - 1e-6,
            -t_quantile(alpha / (sides * static_cast<double>(comparisons)), df) + 1e-6};
}

ExceedanceTable table_over(const Range& range, std::span<const double> loadings, double df, Side side) {
    const double stretch = std::isinf(df) ? 1.0 : ChiScale(df).high;
    return {classify(loadings), side, std::max(std::min(0.0, range.low) * stretch, -9.0),
            std::min(range.high * stretch, beyond)};
}

std::vector<double> p_values(std::span<const double> t, Side side, const Averaged& averaged) {
    std::vector<double> p(t.size(), std::numeric_limits<double>::quiet_NaN());
    for (std::size_t i = 0; i < t.size(); ++i)
        if (!std::isnan(t[i]))
            p[i] = averaged(std::clamp(directed(t[i], side), -1e6, 1e6));
    return p;
}

double critical_value(double alpha, const Range& bounds, const Averaged& averaged) {
    // A single comparison with few degrees of freedom: the bounds lie as close as the quadrature's error.
    const auto excess = [&](double t) { return alpha - averaged(t); };
    if (excess(bounds.low) >= 0.0)
        return bounds.low;
    return excess(bounds.high) <= 0.0 ? bounds.high : increasing_root(excess, bounds.low, bounds.high);
}

} // namespace

std::vector<double> dunnett_p(std::span<const double> t, std::span<const double> loadings, double df,
                              Side side) {
    assert(t.size() == loadings.size() && df > 0.0);
    const ExceedanceTable table = table_over(range_of(t, side), loadings, df, side);
    return p_values(t, side, Averaged(df, table));
}

double dunnett_critical(double alpha, std::span<const double> loadings, double df, Side side) {
    assert(alpha > 0.0 && alpha < 1.0 && !loadings.empty() && df > 0.0);
    const Range bounds = bounds_of(alpha, loadings.size(), df, side);
    const ExceedanceTable table = table_over(bounds, loadings, df, side);
    return critical_value(alpha, bounds, Averaged(df, table));
}

DunnettTest dunnett_test(std::span<const double> t, double alpha, std::span<const double> loadings, double df,
                         Side side) {
    assert(t.size() == loadings.size() && alpha > 0.0 && alpha < 1.0 && !loadings.empty() && df > 0.0);
    const Range values = range_of(t, side), bounds = bounds_of(alpha, loadings.size(), df, side);
    const ExceedanceTable table = table_over(
        {std::min(values.low, bounds.low), std::max(values.high, bounds.high)}, loadings, df, side);
    const Averaged averaged(df, table);
    return {p_values(t, side, averaged), critical_value(alpha, bounds, averaged)};
}

} // namespace thresh::stats

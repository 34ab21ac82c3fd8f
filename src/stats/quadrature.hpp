// Composite Gauss-Legendre quadrature and a bracketed root, the two tools behind the distributions that the
// library has no closed form for. Private to stats.
#pragma once

#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cstddef>
#include <cstdint>

namespace thresh::stats {

// Integral of `f` over [from, to] on equal panels of 20 nodes each. `f` is called with the number of the node
// too, from 0 to 20 * panels - 1, for what is known at the nodes beforehand.
template <typename Function>
double integrate_numbered(const Function& f, double from, double to, int panels) {
    using Rule = boost::math::quadrature::gauss<double, 20>;
    const double width = (to - from) / panels;
    const double half = 0.5 * width;
    double sum = 0.0;
    std::size_t number = 0;
    for (int panel = 0; panel < panels; ++panel) {
        const double centre = from + (panel + 0.5) * width;
        for (std::size_t k = 0; k < Rule::abscissa().size(); ++k, number += 2) {
            const double step = half * Rule::abscissa()[k];
            sum += Rule::weights()[k] * (f(number, centre - step) + f(number + 1, centre + step));
        }
    }
    return sum * half;
}

template <typename Function>
double integrate(const Function& f, double from, double to, int panels) {
    return integrate_numbered([&](std::size_t, double at) { return f(at); }, from, to, panels);
}

// The nodes and weights of integrate(), one after the other.
template <typename Visit>
void integrate_points(double from, double to, int panels, const Visit& visit) {
    using Rule = boost::math::quadrature::gauss<double, 20>;
    const double width = (to - from) / panels;
    const double half = 0.5 * width;
    for (int panel = 0; panel < panels; ++panel) {
        const double centre = from + (panel + 0.5) * width;
        for (std::size_t k = 0; k < Rule::abscissa().size(); ++k) {
            const double step = half * Rule::abscissa()[k];
            visit(centre - step, half * Rule::weights()[k]);
            visit(centre + step, half * Rule::weights()[k]);
        }
    }
}

// Where the increasing function `f` is 0, searched upwards from [low, high] by doubling the interval.
template <typename Function>
double increasing_root(const Function& f, double low, double high) {
    double at_high = f(high);
    while (at_high < 0.0 && high < 1e9) {
        high += high - low;
        at_high = f(high);
    }
    std::uintmax_t steps = 200;
    const auto bracket = boost::math::tools::toms748_solve(
        f, low, high, f(low), at_high, boost::math::tools::eps_tolerance<double>(46), steps);
    return 0.5 * (bracket.first + bracket.second);
}

} // namespace thresh::stats

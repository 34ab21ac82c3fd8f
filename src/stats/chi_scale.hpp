// Distribution of s / sigma, the ratio that turns a statement about known variance into one about a variance
// estimated with `df` degrees of freedom. Private to stats.
#pragma once

#include "stats/quadrature.hpp"

#include <cmath>
#include <thresh/stats/distributions.hpp>
#include <vector>

namespace thresh::stats {

// Range and logarithm of the density of s / sigma = sqrt(chi2 / df).
struct ChiScale {
    explicit ChiScale(double degrees)
        : df(degrees), low(std::sqrt(chi2_quantile(1e-17, degrees) / degrees)),
          high(std::sqrt(upper_chi2(degrees) / degrees)),
          log_constant(std::log(2.0) + 0.5 * degrees * std::log(0.5 * degrees) - std::lgamma(0.5 * degrees)) {
    }

    double density(double s) const {
        return std::exp(log_constant + (df - 1.0) * std::log(s) - 0.5 * df * s * s);
    }

    // Expectation of f(s) over the distribution.
    template <typename Function>
    double expect(const Function& f, int panels = 8) const {
        return integrate([&](double s) { return density(s) * f(s); }, low, high, panels);
    }

    // The points of that quadrature with their weights, density included: for many functions of one df.
    struct Point {
        double s, weight;
    };
    std::vector<Point> points(int panels = 8) const {
        std::vector<Point> made;
        integrate_points(low, high, panels, [&](double s, double weight) {
            made.push_back({s, weight * density(s)});
        });
        return made;
    }

    double df;
    double low;
    double high;
    double log_constant;

  private:
    static double upper_chi2(double degrees) {
        // Where the upper tail has certainly fallen below 1e-17 (bound of Laurent and Massart 2000).
        const double x = 40.0;
        return degrees + 2.0 * std::sqrt(degrees * x) + 2.0 * x;
    }
};

} // namespace thresh::stats

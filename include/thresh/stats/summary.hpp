// Location and spread of a set of values, classical and robust. Nothing here skips missing values: the caller
// hands over the values that count. All functions are deterministic and depend on the order of the values
// only through rounding.
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace thresh::stats {

// What is printed beside a mean. `sd` and `se` need two values, everything else one.
struct Summary {
    std::size_t n = 0;
    std::optional<double> mean;
    std::optional<double> sd; // divisor n - 1
    std::optional<double> se; // sd / sqrt(n)
    std::optional<double> min;
    std::optional<double> median;
    std::optional<double> max;
};

Summary summarize(std::span<const double> values);

// Arithmetic mean, corrected by the mean of the residuals (second pass). Empty for no values.
std::optional<double> mean(std::span<const double> values);

// Corrected two-pass sum of squared deviations from the mean (Chan, Golub and LeVeque 1983); 0 for no values.
double sum_of_squares(std::span<const double> values);

// Standard deviation with divisor n - 1. Empty below two values.
std::optional<double> standard_deviation(std::span<const double> values);

// Middle value, or the mean of the two middle ones. Empty for no values.
std::optional<double> median(std::span<const double> values);
// The same of values that are needed no more: it works in their memory, and what it leaves there means
// nothing.
std::optional<double> median_in_place(std::span<double> values);

// Quantile by linear interpolation between order statistics, position (n - 1) p (the default of R, type 7 of
// Hyndman and Fan 1996). `p` in [0, 1]. Empty for no values.
std::optional<double> quantile(std::span<const double> values, double p);

// Median absolute deviation from the median, not scaled. Empty for no values.
std::optional<double> median_absolute_deviation(std::span<const double> values);

// (x - median) / (1.4826 MAD) of each value; beyond 3.5 in size is usually taken as an outlier (Iglewicz and
// Hoaglin 1993). When the scaled MAD is below `floor` (an instrument's resolution, say) `floor` is used; when
// both are 0 the standard deviation is, and when that is 0 as well every score is 0. Scores of a constant set
// are 0.
std::vector<double> robust_z(std::span<const double> values, double floor = 0.0);

// Robust mean and standard deviation.
struct RobustEstimate {
    double mean = 0.0;
    double sd = 0.0;
    int steps = 0;
    bool converged = false;
};

// Algorithm A of ISO 13528:2015 annex C.3.1 and ISO 5725-5, iterated until both estimates move by less than
// `tolerance` relative to the robust standard deviation. Needs two values. When over half of the values are
// equal the median absolute deviation is 0 and the standard deviation serves as the start.
std::optional<RobustEstimate> algorithm_a(std::span<const double> values, double tolerance = 1e-12,
                                          int max_steps = 1000);

} // namespace thresh::stats

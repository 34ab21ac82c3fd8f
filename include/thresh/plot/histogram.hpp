// How often values fall into equal bins, with a window beside them: what lies outside it is hatched.
#pragma once

#include <thresh/plot/figure.hpp>

#include <optional>
#include <span>

namespace thresh::plot {

struct Histogram {
    Quantity quantity;
    std::string counted;              // what a count is of: "readings"
    double first = 0, step = 0;       // bin i covers [first + i * step, first + (i + 1) * step)
    std::vector<std::size_t> counts;  // one a bin
    std::optional<double> low, high;  // the window, inclusive; either may be missing
    std::string window_name;          // "moisture window"; needed with a window
    std::size_t below = 0, above = 0; // of all the values, those outside the window
    std::size_t not_finite = 0;       // of all the values, those that cannot be drawn
};

// Bins of a round width (1, 2 or 5 times a power of ten) for the finite ones of `values`, about the square
// root of their number, 5 to 30; `below` and `above` counted. Empty counts when no value is finite.
Histogram histogram_of(std::span<const double> values, const Quantity& quantity,
                       std::optional<double> low = {}, std::optional<double> high = {});

// None when all counts are 0 or the bins are not finite.
std::optional<Figure> histogram(const Frame& frame, const Histogram& data);

} // namespace thresh::plot

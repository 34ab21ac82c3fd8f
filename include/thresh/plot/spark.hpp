// A line without axes, as high as a line of text, for a cell of a table.
#pragma once

#include <optional>
#include <span>
#include <string>

namespace thresh::plot {

struct Spark {
    std::span<const double> values;  // in order; a value that is not finite leaves a gap
    std::optional<double> low, high; // limits: a band; points outside are marked low (down) and high (up)
    double width = 96, height = 20;  // px
};

// One <svg>, hidden from screen readers: the cells beside it say the numbers. Values beyond 200 are drawn as
// the lowest and highest of each run. Empty when fewer than two values are finite.
std::string spark(const Spark& data);

} // namespace thresh::plot

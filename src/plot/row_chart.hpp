// Rows with a name at the left, a mark and a bar in the middle, a number at the right: the body of rankings
// and of intervals.
#pragma once

#include "plot/legend.hpp"

#include <optional>
#include <string>
#include <vector>

namespace thresh::plot {

struct ChartRow {
    std::string name, number; // at the left and at the right
    std::string sign;         // one character behind the number; may be empty
    bool bold = false;
    double value = 0;
    std::optional<double> low, high; // ends of the bar
    Mark mark = Mark::circle;
    bool hollow = false;
    std::string tooltip;
    bool gap_above = false; // rows between this one and the one above are left out
};

struct RowChart {
    Quantity quantity;
    std::vector<ChartRow> rows; // at least one, all drawable
    std::optional<double> line; // vertical, dashed
    std::vector<LegendEntry> legend;
};

// The figure without its table and note.
Figure draw_rows(const Frame& frame, const RowChart& chart, std::string_view facts);

} // namespace thresh::plot

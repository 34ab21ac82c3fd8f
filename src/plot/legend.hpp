// The key of a figure: a sample of each mark, line or band with its name, wrapped to the width.
#pragma once

#include "plot/drawing.hpp"

#include <string>
#include <vector>

namespace thresh::plot {

struct LegendEntry {
    enum class Kind : unsigned char { mark, line, swatch, sign };
    Kind kind = Kind::mark;
    Mark mark = Mark::circle;
    std::string classes;    // of a line or swatch; of a mark more than its own
    std::string attributes; // of a line or swatch, with a leading blank
    std::string text;
    std::string sign; // a character that stands for itself, such as "!"
};

// px high; 0 without entries.
double legend_height(const std::vector<LegendEntry>& entries, double width);
// Draws from (0, top) downwards.
void draw_legend(Drawing& drawing, const std::vector<LegendEntry>& entries, double top, double width);

} // namespace thresh::plot

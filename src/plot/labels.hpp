// Names beside points, placed so that no two texts and no text and mark overlap.
#pragma once

#include "plot/axis.hpp"

#include <string>
#include <vector>

namespace thresh::plot {

struct PointLabel {
    double x = 0, y = 0; // of the point, px
    std::string text;
};

// Draws those that find room inside the area: right of the point, left, above, below, then askew.
// Returns how many did not.
std::size_t draw_labels(Drawing& drawing, const std::vector<PointLabel>& labels, const Area& area);

} // namespace thresh::plot

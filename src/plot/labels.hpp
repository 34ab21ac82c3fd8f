// Names beside points, placed so that no two texts and no text and mark overlap.
#pragma once

#include "plot/axis.hpp"

#include <string>
#include <utility>
#include <vector>

namespace thresh::plot {

struct PointLabel {
    double x = 0, y = 0; // of the point, px
    std::string text;
};

// Draws those that find room inside the area, beside, above, below or askew of their points: of the places
// that are free the one that covers the fewest of `others` (marks without a label). Returns how many found
// none.
std::size_t draw_labels(Drawing& drawing, const std::vector<PointLabel>& labels,
                        const std::vector<std::pair<double, double>>& others, const Area& area);

} // namespace thresh::plot

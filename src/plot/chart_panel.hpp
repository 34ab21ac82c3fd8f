// One strip of a control chart.
#pragma once

#include "plot/axis.hpp"

#include <thresh/plot/control_chart.hpp>
#include <vector>

namespace thresh::plot {

// A run of neighbouring points of a panel, with what the drawable ones among them hold.
struct PointRun {
    std::size_t first = 0, last = 0; // indices, both inclusive
    std::size_t count = 0;           // drawable ones, at least 1
    std::size_t action = 0;          // of them, with an action signal
    double low = 0, mean = 0, high = 0;
};
inline constexpr std::size_t kMostRuns = 120;
inline constexpr std::size_t kMostSinglePoints = 240;

// kMostRuns runs of equal length, or each point by itself up to kMostSinglePoints; those without a drawable
// point are left out.
std::vector<PointRun> runs_of(const std::vector<ChartPoint>& points);

// Limits, trace and marks of a panel inside `area`; `runs` in place of single points where there
// are any and the panel has more than kMostSinglePoints.
// `scale` is of the values.
void draw_panel(Drawing& drawing, const ChartPanel& panel, const std::vector<PointRun>& runs,
                const Area& area, const Scale& scale, const Quantity& quantity);

// Labels of points below the strip, as many as have room, the first and the last before others.
void draw_point_labels(Drawing& drawing, const ChartPanel& panel, const Area& area, double figure_width);

// Whether a point with an action signal lies low: below the centre (or the middle of what limits there are).
bool lies_low(const ChartPanel& panel, double value);

} // namespace thresh::plot

// Control chart: values in the order of time with centre, warning and action limits and marked signals. It
// draws what it is given; limits and signals are computed elsewhere.
#pragma once

#include <thresh/plot/figure.hpp>

#include <optional>

namespace thresh::plot {

struct ChartPoint {
    double value = 0;
    std::string label;       // when, or which session: on the axis where there is room, tooltip and table
    std::string signals;     // the signals complete with this point, in words; empty: none
    bool action = false;     // one of them concerns the readings around it; otherwise it is a note
    bool gap_before = false; // no line from the point before: another calibration, a pause
};

// One instrument, session or control: its own strip, all strips on one scale.
struct ChartPanel {
    std::string name; // above the strip; may be empty when there is one
    std::optional<double> centre;
    std::optional<double> warning_low, warning_high, action_low, action_high;
    std::vector<ChartPoint> points; // in the order of time
};

struct ControlChart {
    Quantity quantity;
    std::string point_name;         // heading of the labels in the table: "time"
    std::vector<ChartPanel> panels; // at most kMostPanels are drawn; the note counts the rest
};

inline constexpr std::size_t kMostPanels = 12;

// Above kMostPoints points in all, panels are drawn as envelopes (lowest, mean and highest of runs of
// points); points that carry an action signal stay marked. A point that is not finite leaves a gap. None
// without a finite point.
std::optional<Figure> control_chart(const Frame& frame, const ControlChart& data);

} // namespace thresh::plot

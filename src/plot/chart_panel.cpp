// Points stand at equal steps in their order, as control charts have them: the labels say when, pauses show
// as gaps in the trace.
#include "plot/chart_panel.hpp"

#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

double x_of(std::size_t i, std::size_t count, const Area& area) {
    constexpr double inside = 10; // room for the marks of the first and the last
    if (count <= 1)
        return (area.left + area.right) / 2;
    return area.left + inside +
           (area.right - area.left - 2 * inside) * static_cast<double>(i) / static_cast<double>(count - 1);
}

void draw_limits(Drawing& drawing, const ChartPanel& panel, const Area& area, const Scale& scale) {
    const auto level = [&](const std::optional<double>& value, std::string_view classes,
                           std::string_view attributes) {
        if (value && drawable(*value))
            drawing.line(area.left, scale(*value), area.right, scale(*value), classes, attributes);
    };
    level(panel.centre, "edge", {});
    level(panel.warning_low, "rule", " stroke-dasharray=\"2 4\"");
    level(panel.warning_high, "rule", " stroke-dasharray=\"2 4\"");
    level(panel.action_low, "rule", " stroke-dasharray=\"8 4\" stroke-width=\"1.6\"");
    level(panel.action_high, "rule", " stroke-dasharray=\"8 4\" stroke-width=\"1.6\"");
}

std::string tooltip(const ChartPoint& point, const Quantity& quantity) {
    std::string text = with_unit(point.value, quantity.decimals, quantity.unit);
    if (!point.label.empty())
        text = isolated(point.label) + ": " + text;
    if (!point.signals.empty())
        text += ", " + point.signals;
    return text;
}

void draw_points(Drawing& drawing, const ChartPanel& panel, const Area& area, const Scale& scale,
                 const Quantity& quantity) {
    const std::size_t count = panel.points.size();
    std::string trace;
    bool pen_up = true;
    for (std::size_t i = 0; i < count; ++i) {
        const ChartPoint& point = panel.points[i];
        if (!drawable(point.value)) {
            pen_up = true;
            continue;
        }
        trace += fmt::format("{}{} {}", pen_up || point.gap_before ? 'M' : 'L', px(x_of(i, count, area)),
                             px(scale(point.value)));
        pen_up = false;
    }
    drawing.path(trace, "trace");
    const double step = (area.right - area.left) / static_cast<double>(count);
    const double plain = std::clamp(step / 3, 1.2, 3.0);
    // The marked ones last, so that no plain neighbour hides them.
    for (const bool marked : {false, true})
        for (std::size_t i = 0; i < count; ++i) {
            const ChartPoint& point = panel.points[i];
            if (!drawable(point.value) || (point.action || !point.signals.empty()) != marked)
                continue;
            const Mark mark = point.action ? (lies_low(panel, point.value) ? Mark::low : Mark::high)
                              : !point.signals.empty() ? Mark::ring
                                                       : Mark::circle;
            drawing.mark(mark, x_of(i, count, area), scale(point.value), marked ? 5 : plain,
                         tooltip(point, quantity), class_of(mark));
        }
}

void draw_runs(Drawing& drawing, const ChartPanel& panel, const std::vector<PointRun>& runs, const Area& area,
               const Scale& scale, const Quantity& quantity) {
    const std::size_t count = panel.points.size();
    const double thick = std::max(1.0, (area.right - area.left) / static_cast<double>(kMostRuns) * 0.7);
    std::string trace;
    for (const PointRun& run : runs) {
        const double x = (x_of(run.first, count, area) + x_of(run.last, count, area)) / 2;
        const double top = scale(run.high), bottom = scale(run.low);
        drawing.rect(x - thick / 2, top, thick, std::max(1.0, bottom - top), "reach",
                     fmt::format("{}: lowest {}, mean {}, highest {}", counted(run.count, "point", "points"),
                                 number_text(run.low, quantity.decimals),
                                 number_text(run.mean, quantity.decimals),
                                 with_unit(run.high, quantity.decimals, quantity.unit)));
        trace += fmt::format("{}{} {}", trace.empty() ? 'M' : 'L', px(x), px(scale(run.mean)));
    }
    drawing.path(trace, "mean", {}, " stroke-width=\"1.5\"");
    for (std::size_t i = 0; i < count; ++i) {
        const ChartPoint& point = panel.points[i];
        if (!point.action || !drawable(point.value))
            continue;
        const Mark mark = lies_low(panel, point.value) ? Mark::low : Mark::high;
        drawing.mark(mark, x_of(i, count, area), scale(point.value), 4, tooltip(point, quantity),
                     class_of(mark));
    }
}

} // namespace

std::vector<PointRun> runs_of(const std::vector<ChartPoint>& points) {
    std::vector<PointRun> runs;
    const std::size_t pieces = points.size() <= kMostSinglePoints ? points.size() : kMostRuns;
    for (std::size_t piece = 0; piece < pieces; ++piece) {
        PointRun run;
        run.first = piece * points.size() / pieces;
        run.last = (piece + 1) * points.size() / pieces - 1;
        double sum = 0;
        Range range;
        for (std::size_t i = run.first; i <= run.last; ++i) {
            if (!drawable(points[i].value))
                continue;
            range.add(points[i].value);
            sum += points[i].value;
            ++run.count;
            run.action += points[i].action;
        }
        if (run.count == 0)
            continue;
        run.low = range.low;
        run.mean = sum / static_cast<double>(run.count);
        run.high = range.high;
        runs.push_back(run);
    }
    return runs;
}

bool lies_low(const ChartPanel& panel, double value) {
    if (panel.centre)
        return value < *panel.centre;
    if (panel.action_low && panel.action_high)
        return value < (*panel.action_low + *panel.action_high) / 2;
    return panel.action_low && value < *panel.action_low;
}

void draw_panel(Drawing& drawing, const ChartPanel& panel, const std::vector<PointRun>& runs,
                const Area& area, const Scale& scale, const Quantity& quantity) {
    draw_limits(drawing, panel, area, scale);
    if (runs.empty() || panel.points.size() <= kMostSinglePoints)
        draw_points(drawing, panel, area, scale, quantity);
    else
        draw_runs(drawing, panel, runs, area, scale, quantity);
}

void draw_point_labels(Drawing& drawing, const ChartPanel& panel, const Area& area, double figure_width) {
    const std::size_t count = panel.points.size();
    if (count == 0)
        return;
    constexpr double most = 150;
    double widest = 1;
    for (const ChartPoint& point : panel.points)
        widest = std::max(widest, text_width(shorten(point.label, most, kFont), kFont));
    const auto room = static_cast<std::size_t>(std::max(2.0, (area.right - area.left) / (widest + 14)));
    const std::size_t wanted = std::min(count, room);
    std::vector<std::size_t> order = {0, count - 1};
    for (std::size_t k = 1; k + 1 < wanted; ++k)
        order.push_back(k * (count - 1) / (wanted - 1));
    std::vector<std::pair<double, double>> taken;
    for (const std::size_t i : order) {
        const std::string& label = panel.points[i].label;
        if (label.empty())
            continue;
        const double half = text_width(shorten(label, most, kFont), kFont) / 2;
        const double x = std::clamp(x_of(i, count, area), half + 2, figure_width - half - 2);
        const bool free = std::none_of(taken.begin(), taken.end(), [&](const auto& other) {
            return x - half - 10 < other.second && other.first < x + half + 10;
        });
        if (!free)
            continue;
        taken.emplace_back(x - half, x + half);
        drawing.line(x_of(i, count, area), area.bottom, x_of(i, count, area), area.bottom + 4, "axis");
        drawing.text(x, area.bottom + 18, label, most, Drawing::Anchor::middle, "soft");
    }
}

} // namespace thresh::plot

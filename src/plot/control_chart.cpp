// Panels lie below each other on one scale, so that instruments can be compared by eye. Above kMostPoints
// points in all, every panel is an envelope.
#include <thresh/plot/control_chart.hpp>

#include "plot/chart_panel.hpp"
#include "plot/legend.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr double kPanelName = 22, kPointLabels = 30;

// What a panel holds, counted once.
struct Content {
    std::size_t points = 0, unfit = 0, action = 0, low = 0, notes = 0; // low: of those with an action signal
};

Content content_of(const ChartPanel& panel, Range& range) {
    Content content;
    for (const ChartPoint& point : panel.points) {
        if (!drawable(point.value)) {
            ++content.unfit;
            continue;
        }
        range.add(point.value);
        ++content.points;
        content.action += point.action;
        content.low += point.action && lies_low(panel, point.value);
        content.notes += !point.action && !point.signals.empty();
    }
    for (const auto& limit :
         {panel.centre, panel.warning_low, panel.warning_high, panel.action_low, panel.action_high})
        if (limit && content.points > 0)
            range.add(*limit);
    return content;
}

std::string limits_words(const ChartPanel& panel, const Quantity& quantity) {
    std::string words;
    const auto number = [&](double value) { return number_text(value, quantity.decimals); };
    if (panel.centre && drawable(*panel.centre))
        words += ", centre " + number(*panel.centre);
    const auto pair = [&](std::string_view name, const std::optional<double>& low,
                          const std::optional<double>& high) {
        if (low && high && drawable(*low) && drawable(*high))
            words += fmt::format(", {} limits {} and {}", name, number(*low), number(*high));
    };
    pair("warning", panel.warning_low, panel.warning_high);
    pair("action", panel.action_low, panel.action_high);
    return words;
}

std::string panel_words(const ChartPanel& panel, const Content& content, const Quantity& quantity) {
    return fmt::format("{}{}{}{}; {}.", isolated(panel.name), panel.name.empty() ? "" : ": ",
                       counted(content.points, "point", "points"), limits_words(panel, quantity),
                       counted(content.action, "action signal", "action signals"));
}

std::vector<LegendEntry> legend_of(const std::vector<const ChartPanel*>& panels, const Content& total,
                                   bool binned) {
    using Kind = LegendEntry::Kind;
    bool centre = false, warning = false, limits = false;
    for (const ChartPanel* panel : panels) {
        centre |= panel->centre.has_value();
        warning |= panel->warning_low || panel->warning_high;
        limits |= panel->action_low || panel->action_high;
    }
    std::vector<LegendEntry> legend;
    if (centre)
        legend.push_back({Kind::line, {}, "edge", {}, "centre", {}});
    if (warning)
        legend.push_back({Kind::line, {}, "rule", " stroke-dasharray=\"2 4\"", "warning limit", {}});
    if (limits)
        legend.push_back(
            {Kind::line, {}, "rule", " stroke-dasharray=\"8 4\" stroke-width=\"1.6\"", "action limit", {}});
    if (total.action > total.low)
        legend.push_back({Kind::mark, Mark::high, "high", {}, "action signal, high", {}});
    if (total.low > 0)
        legend.push_back({Kind::mark, Mark::low, "low", {}, "action signal, low", {}});
    if (total.notes > 0 && !binned)
        legend.push_back({Kind::mark, Mark::ring, "ring", {}, "note", {}});
    if (binned) {
        legend.push_back({Kind::swatch, {}, "reach", {}, "lowest to highest", {}});
        legend.push_back({Kind::line, {}, "mean", " stroke-width=\"1.5\"", "mean", {}});
    }
    return legend;
}

void add_rows(DataTable& table, const ChartPanel& panel, const std::vector<PointRun>& runs,
              const Quantity& quantity) {
    const auto number = [&](double value) { return number_text(value, quantity.decimals); };
    for (const PointRun& run : runs)
        table.rows.push_back({clean(panel.name),
                              clean(run.first == run.last ? panel.points[run.first].label
                                                          : panel.points[run.first].label + " to " +
                                                                panel.points[run.last].label),
                              fmt::format("{}", run.count), number(run.low), number(run.mean),
                              number(run.high), fmt::format("{}", run.action)});
    if (!runs.empty())
        return;
    for (const ChartPoint& point : panel.points)
        if (drawable(point.value))
            table.rows.push_back({clean(panel.name), clean(point.label), number(point.value),
                                  point.action ? "action: " + clean(point.signals) : clean(point.signals)});
}

} // namespace

std::optional<Figure> control_chart(const Frame& frame, const ControlChart& data) {
    std::vector<const ChartPanel*> panels;
    std::vector<Content> contents;
    Range range;
    std::size_t left_out = 0;
    Content total;
    for (const ChartPanel& panel : data.panels) {
        const bool drawn = panels.size() < kMostPanels;
        Range unused;
        const Content content = content_of(panel, drawn ? range : unused);
        total.unfit += content.unfit;
        if (content.points == 0)
            continue;
        if (!drawn) {
            ++left_out;
            continue;
        }
        panels.push_back(&panel);
        contents.push_back(content);
        total.points += content.points;
        total.action += content.action;
        total.low += content.low;
        total.notes += content.notes;
    }
    if (panels.empty())
        return std::nullopt;
    const bool binned = total.points > kMostPoints;
    const double width = frame_width(frame);
    const double strip = panels.size() == 1 ? 210 : panels.size() <= 3 ? 140 : 100;
    const Ticks ticks = round_ticks(range, panels.size() == 1 ? 8 : 5, data.quantity.decimals);
    const double left = ticks.widest() + 14;

    Drawing drawing;
    Figure figure;
    const std::string heading = axis_label(data.quantity);
    figure.table = {frame.title, {"series", data.point_name, heading, "signals"}, {}};
    if (binned)
        figure.table.columns = {"series", data.point_name, "points",        "lowest",
                                "mean",   "highest",       "action signals"};
    std::string facts;
    double y = 4;
    for (std::size_t i = 0; i < panels.size(); ++i) {
        const ChartPanel& panel = *panels[i];
        if (i == 0)
            y += kYLabelHeight - 4;
        if (!panel.name.empty()) {
            // Bold letters are wider than text_width() says.
            drawing.text(left, y + 8, panel.name, (width - left - 4) / 1.15, Drawing::Anchor::start, {},
                         " font-weight=\"bold\"");
            y += kPanelName;
        }
        const Area area{left, y, width - 8, y + strip};
        const Scale scale{ticks.low(), ticks.high(), area.bottom, area.top};
        draw_y_axis(drawing, area, scale, ticks, {}, width);
        if (i == 0)
            drawing.text(4, 16, heading, width - 8);
        drawing.line(area.left, area.bottom, area.right, area.bottom, "axis");
        const std::vector<PointRun> runs = binned ? runs_of(panel.points) : std::vector<PointRun>();
        draw_panel(drawing, panel, runs, area, scale, data.quantity);
        draw_point_labels(drawing, panel, area, width);
        add_rows(figure.table, panel, runs, data.quantity);
        facts += (facts.empty() ? "" : " ") + panel_words(panel, contents[i], data.quantity);
        y = area.bottom + kPointLabels;
    }
    const auto legend = legend_of(panels, total, binned);
    draw_legend(drawing, legend, y, width);
    figure.width = width;
    figure.height = y + legend_height(legend, width);

    const auto add = [&figure](const std::string& sentence) {
        figure.note.append(figure.note.empty() ? "" : " ").append(sentence);
    };
    if (binned)
        add(fmt::format("{} points are drawn as lowest, mean and highest of runs.", total.points));
    if (left_out > 0)
        add(fmt::format("{} not drawn.",
                        left_out == 1 ? "1 series is" : fmt::format("{} series are", left_out)));
    if (total.unfit > 0)
        add(fmt::format("{} without a value that can be drawn.", counted(total.unfit, "point", "points")));
    if (!figure.note.empty())
        facts += " " + figure.note;
    figure.svg = drawing.finish(frame, figure.width, figure.height, facts);
    return figure;
}

} // namespace thresh::plot

// Points are drawn in the order given, group by group. Above kMostPoints, groups without labels become one
// field of squares whose area grows with the count: in black-and-white print too the eye sees where most are.
#include "plot/xy.hpp"

#include "plot/axis.hpp"
#include "plot/labels.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

struct Plane {
    Area area;
    Scale x, y;
};

bool drawable(const ScatterPoint& point) {
    return plot::drawable(point.x) && plot::drawable(point.y);
}

// The part of a line that lies inside the plane.
void draw_line(Drawing& drawing, const Plane& plane, const XyLine& line) {
    if (!plot::drawable(line.intercept) || !plot::drawable(line.slope))
        return;
    double from = plane.x.low, to = plane.x.high;
    if (line.slope != 0) {
        double at_low = (plane.y.low - line.intercept) / line.slope;
        double at_high = (plane.y.high - line.intercept) / line.slope;
        if (at_low > at_high)
            std::swap(at_low, at_high);
        from = std::max(from, at_low);
        to = std::min(to, at_high);
    } else if (line.intercept < plane.y.low || line.intercept > plane.y.high) {
        return;
    }
    if (from < to)
        drawing.line(plane.x(from), plane.y(line.intercept + line.slope * from), plane.x(to),
                     plane.y(line.intercept + line.slope * to), line.classes, line.attributes);
}

std::string tooltip(const ScatterPoint& point, const Xy& data) {
    return fmt::format("{}{}{}: {}, {}: {}", isolated(point.name), point.name.empty() ? "" : "; ",
                       data.x.name, with_unit(point.x, data.x.decimals, data.x.unit), data.y.name,
                       with_unit(point.y, data.y.decimals, data.y.unit));
}

void draw_cells(Drawing& drawing, const Plane& plane, const CellGrid& grid, const std::vector<Cell>& cells,
                const Xy& data, DataTable& table) {
    std::size_t most = 1;
    for (const Cell& cell : cells)
        most = std::max(most, cell.count);
    const double width = (plane.area.right - plane.area.left) / kCellColumns;
    const double height = (plane.area.bottom - plane.area.top) / kCellRows;
    drawing.open_group("spread");
    for (const Cell& cell : cells) {
        const double share = std::sqrt(static_cast<double>(cell.count) / static_cast<double>(most));
        const double w = std::max(2.0, width * share), h = std::max(2.0, height * share);
        const std::string x = fmt::format("{} to {}", number_text(grid.x_edge(cell.column), data.x.decimals),
                                          number_text(grid.x_edge(cell.column + 1), data.x.decimals));
        const std::string y = fmt::format("{} to {}", number_text(grid.y_edge(cell.row), data.y.decimals),
                                          number_text(grid.y_edge(cell.row + 1), data.y.decimals));
        const double middle_x = plane.x((grid.x_edge(cell.column) + grid.x_edge(cell.column + 1)) / 2);
        const double middle_y = plane.y((grid.y_edge(cell.row) + grid.y_edge(cell.row + 1)) / 2);
        const std::string points = counted(cell.count, "point", "points");
        drawing.rect(middle_x - w / 2, middle_y - h / 2, w, h, {},
                     fmt::format("{}; {}: {}, {}: {}", points, data.x.name, x, data.y.name, y));
        table.rows.push_back({"", points, x, y});
    }
    drawing.close_group();
}

// Ranges of the axes: all points, and what lines and bands ask for.
void ranges(const Xy& data, Range& x, Range& y) {
    for (const ScatterGroup& group : data.groups)
        for (const ScatterPoint& point : group.points)
            if (drawable(point)) {
                x.add(point.x);
                y.add(point.y);
            }
    if (data.lines_in_range && !x.empty) {
        for (const XyLine& line : data.lines)
            if (line.slope == 0)
                y.add(line.intercept);
        for (const XyBand& band : data.bands) {
            y.add(band.low);
            y.add(band.high);
        }
    }
    if (data.same_scale && !x.empty) {
        x.add(y.low);
        x.add(y.high);
        y = x;
    }
}

Plane make_plane(const Xy& data, const Range& x_range, const Range& y_range, double width, Ticks& x_ticks,
                 Ticks& y_ticks) {
    y_ticks = round_ticks(y_range, 8, data.y.decimals);
    Plane plane;
    plane.area = {y_ticks.widest() + 14, kYLabelHeight, width - 12, 0};
    x_ticks = ticks_across(x_range, plane.area.right - plane.area.left, data.x.decimals);
    if (data.same_scale)
        y_ticks = x_ticks;
    plane.area.left = std::max(y_ticks.widest() + 14, x_ticks.widest() / 2 + 4);
    plane.area.right = width - x_ticks.widest() / 2 - 4;
    const double across = plane.area.right - plane.area.left;
    if (data.same_scale)
        plane.area.right = plane.area.left + std::min(across, 420.0);
    const double high =
        data.same_scale ? plane.area.right - plane.area.left : std::clamp(across * 0.7, 220.0, 380.0);
    plane.area.bottom = plane.area.top + high;
    plane.x = {x_ticks.low(), x_ticks.high(), plane.area.left, plane.area.right};
    plane.y = {y_ticks.low(), y_ticks.high(), plane.area.bottom, plane.area.top};
    return plane;
}

std::vector<LegendEntry> legend_of(const Xy& data, bool binned) {
    using Kind = LegendEntry::Kind;
    std::vector<LegendEntry> legend;
    bool squares = false;
    for (const ScatterGroup& group : data.groups) {
        const bool any = std::any_of(group.points.begin(), group.points.end(),
                                     [](const ScatterPoint& point) { return drawable(point); });
        squares |= binned && !group.labelled && any;
        if (any && !group.name.empty() && !(binned && !group.labelled))
            legend.push_back({Kind::mark, group.mark, std::string(class_of(group.mark)), {}, group.name, {}});
    }
    if (squares)
        legend.push_back({Kind::swatch, {}, "spread", {}, "larger square: more points", {}});
    for (const XyBand& band : data.bands)
        legend.push_back({Kind::swatch, {}, "band", {}, band.name, {}});
    for (const XyLine& line : data.lines)
        if (!line.name.empty())
            legend.push_back({Kind::line, {}, line.classes, line.attributes, line.name, {}});
    return legend;
}

// Draws the points and fills the table. Returns the labels that found no place.
std::size_t draw_points(Drawing& drawing, const Plane& plane, const Xy& data, bool binned, DataTable& table) {
    if (binned) {
        std::vector<const ScatterPoint*> points;
        for (const ScatterGroup& group : data.groups)
            for (const ScatterPoint& point : group.points)
                if (!group.labelled && drawable(point))
                    points.push_back(&point);
        const CellGrid grid{plane.x.low, plane.x.high, plane.y.low, plane.y.high};
        draw_cells(drawing, plane, grid, grid.count(points), data, table);
    }
    std::vector<PointLabel> labels;
    std::vector<std::pair<double, double>> others;
    for (const ScatterGroup& group : data.groups) {
        if (binned && !group.labelled)
            continue;
        const double size = group.labelled ? 5 : group.points.size() > 500 ? 2.5 : 3.5;
        drawing.open_group(std::string(class_of(group.mark)),
                           group.mark == Mark::cross || group.mark == Mark::plus ? " stroke-width=\"1.8\""
                                                                                 : "");
        for (const ScatterPoint& point : group.points) {
            if (!drawable(point))
                continue;
            drawing.mark(group.mark, plane.x(point.x), plane.y(point.y), size, tooltip(point, data));
            if (group.labelled && !point.name.empty())
                labels.push_back({plane.x(point.x), plane.y(point.y), point.name});
            else
                others.emplace_back(plane.x(point.x), plane.y(point.y));
            table.rows.push_back({clean(group.name), clean(point.name), number_text(point.x, data.x.decimals),
                                  number_text(point.y, data.y.decimals)});
        }
        drawing.close_group();
    }
    return draw_labels(drawing, labels, others, plane.area);
}

} // namespace

std::optional<Figure> draw_xy(const Frame& frame, const Xy& data) {
    Range x_range, y_range;
    ranges(data, x_range, y_range);
    if (x_range.empty)
        return std::nullopt;
    std::size_t points = 0, unfit = 0;
    for (const ScatterGroup& group : data.groups)
        for (const ScatterPoint& point : group.points)
            ++(drawable(point) ? points : unfit);
    const bool binned = points > kMostPoints;
    const double width = frame_width(frame);
    Ticks x_ticks, y_ticks;
    const Plane plane = make_plane(data, x_range, y_range, width, x_ticks, y_ticks);
    const Area& area = plane.area;

    Drawing drawing;
    for (const XyBand& band : data.bands)
        drawing.rect(area.left, plane.y(band.high), area.right - area.left,
                     plane.y(band.low) - plane.y(band.high), "band");
    draw_x_axis(drawing, area, plane.x, x_ticks, axis_label(data.x), width);
    draw_y_axis(drawing, area, plane.y, y_ticks, axis_label(data.y), width);
    for (const XyLine& line : data.lines)
        draw_line(drawing, plane, line);
    Figure figure;
    figure.table = {frame.title, {"group", data.point_name, axis_label(data.x), axis_label(data.y)}, {}};
    const std::size_t unlabelled = draw_points(drawing, plane, data, binned, figure.table);
    const std::vector<LegendEntry> legend = legend_of(data, binned);
    const double legend_top = area.bottom + kXAxisHeight;
    figure.width = width;
    figure.height = legend_top + legend_height(legend, width);
    draw_legend(drawing, legend, legend_top, width);

    const auto add = [&figure](const std::string& sentence) {
        figure.note.append(figure.note.empty() ? "" : " ").append(sentence);
    };
    if (binned)
        add(fmt::format("{} points are counted in squares.", points));
    if (unlabelled > 0)
        add(fmt::format("{} without room for a name.", counted(unlabelled, "point", "points")));
    if (unfit > 0)
        add(fmt::format("{} without two values that can be drawn.", counted(unfit, "point", "points")));
    std::string facts =
        data.facts + (data.facts.empty() ? "" : " ") +
        fmt::format("{}; {} from {} to {}, {} from {} to {}.", counted(points, "point", "points"),
                    data.x.name, number_text(x_range.low, data.x.decimals),
                    with_unit(x_range.high, data.x.decimals, data.x.unit), data.y.name,
                    number_text(y_range.low, data.y.decimals),
                    with_unit(y_range.high, data.y.decimals, data.y.unit));
    if (!figure.note.empty())
        facts += " " + figure.note;
    figure.svg = drawing.finish(frame, figure.width, figure.height, facts);
    return figure;
}

std::optional<Figure> scatter(const Frame& frame, const Scatter& data) {
    return draw_xy(frame, {data.x, data.y, data.point_name, data.groups, {}, {}, false, false, {}});
}

} // namespace thresh::plot

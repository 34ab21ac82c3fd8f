// Names take what they need up to nearly half of the width, numbers what they need, the bars the rest. With
// many rows the axis is drawn below and above, so that it is never far.
#include "plot/row_chart.hpp"

#include "plot/axis.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr double kRow = 22, kGapRow = 14, kSign = 12;

double widest(const std::vector<ChartRow>& rows, std::string ChartRow::*field) {
    double most = 0;
    for (const ChartRow& row : rows) // bold is a tenth wider
        most = std::max(most, text_width(clean(row.*field), kFont) * (row.bold ? 1.12 : 1.0));
    return most;
}

void draw_row(Drawing& drawing, const ChartRow& row, const Area& area, const Scale& scale, double y,
              double width, double sign) {
    const std::string_view weight = row.bold ? " font-weight=\"bold\"" : "";
    // Cut by the width of bold letters.
    const double room = (area.left - 16) / (row.bold ? 1.12 : 1.0);
    drawing.line(area.left, y, area.right, y, "grid", " stroke-dasharray=\"1 3\"");
    drawing.text(4, y + 5, row.name, room, Drawing::Anchor::start, {}, weight);
    drawing.text(width - 4 - sign, y + 5, row.number, width, Drawing::Anchor::end, {}, weight);
    if (!row.sign.empty())
        drawing.text(width - 4, y + 5, row.sign, sign, Drawing::Anchor::end, {}, " font-weight=\"bold\"");
    drawing.open_group(std::string(class_of(row.mark)));
    if (row.low && row.high) {
        const double from = scale(*row.low), to = scale(*row.high);
        drawing.path(fmt::format("M{} {}V{}M{} {}H{}M{} {}V{}", px(from), px(y - 4), px(y + 4), px(from),
                                 px(y), px(to), px(to), px(y - 4), px(y + 4)),
                     {}, {}, " fill=\"none\" stroke-width=\"1.5\"");
    }
    drawing.mark(row.mark, scale(row.value), y, 5, row.tooltip, row.hollow ? "hollow" : "");
    drawing.close_group();
}

} // namespace

Figure draw_rows(const Frame& frame, const RowChart& chart, std::string_view facts) {
    const double width = frame_width(frame);
    Range range;
    for (const ChartRow& row : chart.rows) {
        range.add(row.value);
        range.add(row.low.value_or(row.value));
        range.add(row.high.value_or(row.value));
    }
    if (chart.line)
        range.add(*chart.line);
    const double names = std::min(widest(chart.rows, &ChartRow::name) + 2, width * 0.46);
    const double numbers = std::min(widest(chart.rows, &ChartRow::number), width * 0.35);
    // The signs have a column of their own, so that the numbers stay in line.
    const bool signs = std::any_of(chart.rows.begin(), chart.rows.end(),
                                   [](const ChartRow& row) { return !row.sign.empty(); });
    const double sign = signs ? kSign : 0;
    Area area{names + 16, 6, width - numbers - sign - 16, 0};
    const Ticks ticks = ticks_across(range, area.right - area.left - 12, chart.quantity.decimals);
    // Half a tick text may stand out at each end.
    const double out = ticks.widest() / 2;
    area.left = std::max(area.left, out + 4);
    area.right = std::min(area.right, width - out - 4);
    const bool axis_above = chart.rows.size() > 30;
    if (axis_above)
        area.top = 26;
    double bottom = area.top + 4;
    for (const ChartRow& row : chart.rows)
        bottom += kRow + (row.gap_above ? kGapRow : 0);
    area.bottom = bottom + 4;
    const Scale scale{ticks.low(), ticks.high(), area.left + 6, area.right - 6};

    Drawing drawing;
    draw_x_axis(drawing, area, scale, ticks, axis_label(chart.quantity), width);
    if (axis_above)
        draw_tick_texts(drawing, scale, ticks, area.top - 8, width);
    if (chart.line)
        drawing.line(scale(*chart.line), area.top, scale(*chart.line), area.bottom, "rule",
                     " stroke-dasharray=\"6 4\"");
    double y = area.top + 4;
    for (const ChartRow& row : chart.rows) {
        if (row.gap_above) {
            drawing.text(4, y + 9, "\xE2\x8B\xAE", names, Drawing::Anchor::start, "soft");
            y += kGapRow;
        }
        draw_row(drawing, row, area, scale, y + kRow / 2, width, sign);
        y += kRow;
    }
    const double legend_top = area.bottom + kXAxisHeight;
    const double height = legend_top + legend_height(chart.legend, width);
    draw_legend(drawing, chart.legend, legend_top, width);
    return {drawing.finish(frame, width, height, facts), {}, {}, width, height};
}

} // namespace thresh::plot

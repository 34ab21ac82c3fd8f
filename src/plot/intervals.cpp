// An interval that does not hold the line is marked low or high, by shape and colour; one that does, or a
// value without an interval, is a plain circle.
#include <thresh/plot/intervals.hpp>

#include "plot/axis.hpp"
#include "plot/row_chart.hpp"
#include "plot/text.hpp"

#include <fmt/format.h>

namespace thresh::plot {

namespace {

bool has_interval(const IntervalRow& row) {
    return row.low && row.high && drawable(*row.low) && drawable(*row.high) && *row.low <= *row.high;
}

Mark mark_of(const IntervalRow& row, double line) {
    if (!has_interval(row))
        return Mark::circle;
    return *row.high < line ? Mark::low : *row.low > line ? Mark::high : Mark::circle;
}

std::string_view words(const IntervalRow& row, double line) {
    switch (mark_of(row, line)) {
    case Mark::low:
        return "interval below it";
    case Mark::high:
        return "interval above it";
    default:
        return has_interval(row) ? "interval holds it" : "no interval";
    }
}

std::string tooltip(const IntervalRow& row, const Intervals& data) {
    const int decimals = data.quantity.decimals;
    std::string text =
        fmt::format("{}: {}", isolated(row.name), with_unit(row.value, decimals, data.quantity.unit));
    if (has_interval(row))
        text += fmt::format(", {} {} to {}", data.interval_name, number_text(*row.low, decimals),
                            number_text(*row.high, decimals));
    if (!row.remark.empty())
        text += ", " + row.remark;
    return text;
}

} // namespace

std::optional<Figure> intervals(const Frame& frame, const Intervals& data) {
    const int decimals = data.quantity.decimals;
    const double line = drawable(data.line) ? data.line : 0;
    RowChart chart;
    chart.quantity = data.quantity;
    chart.line = line;
    DataTable table{
        frame.title,
        {data.row_name, axis_label(data.quantity), "low", "high", "against " + data.line_name, "remark"},
        {}};
    std::size_t unfit = 0, left = 0, below = 0, above = 0;
    for (const IntervalRow& row : data.rows) {
        if (!drawable(row.value)) {
            ++unfit;
            continue;
        }
        if (chart.rows.size() == kMostIntervalRows) {
            ++left;
            continue;
        }
        ChartRow drawn;
        drawn.name = row.name;
        drawn.number = number_text(row.value, decimals);
        drawn.value = row.value;
        if (has_interval(row)) {
            drawn.low = row.low;
            drawn.high = row.high;
        }
        drawn.mark = mark_of(row, line);
        below += drawn.mark == Mark::low;
        above += drawn.mark == Mark::high;
        drawn.tooltip = tooltip(row, data);
        chart.rows.push_back(std::move(drawn));
        table.rows.push_back({clean(row.name), number_text(row.value, decimals),
                              has_interval(row) ? number_text(*row.low, decimals) : "",
                              has_interval(row) ? number_text(*row.high, decimals) : "",
                              std::string(words(row, line)), clean(row.remark)});
    }
    if (chart.rows.empty())
        return std::nullopt;

    using Kind = LegendEntry::Kind;
    chart.legend.push_back({Kind::line, {}, "circle", " stroke-width=\"1.5\"", data.interval_name, {}});
    chart.legend.push_back({Kind::line, {}, "rule", " stroke-dasharray=\"6 4\"", data.line_name, {}});
    if (below > 0)
        chart.legend.push_back({Kind::mark, Mark::low, "low", {}, "interval below the line", {}});
    if (above > 0)
        chart.legend.push_back({Kind::mark, Mark::high, "high", {}, "interval above the line", {}});

    std::string note;
    if (left > 0)
        note = fmt::format("{} of {} rows are not drawn.", left, left + chart.rows.size());
    if (unfit > 0)
        note += fmt::format("{}{} no value that can be drawn.", note.empty() ? "" : " ",
                            unfit == 1 ? "1 row has" : fmt::format("{} rows have", unfit));
    const std::string facts = fmt::format("{} with {}: {} wholly below {}, {} wholly above it.{}{}",
                                          counted(chart.rows.size(), "row", "rows"), data.interval_name,
                                          below, data.line_name, above, note.empty() ? "" : " ", note);
    Figure figure = draw_rows(frame, chart, facts);
    figure.table = std::move(table);
    figure.note = std::move(note);
    return figure;
}

} // namespace thresh::plot

// A row's mark says what it is (diamond: check, hollow: provisional), an exclamation mark behind its value
// that a finding is open; the same words stand in the table.
#include <thresh/plot/ranking.hpp>

#include "plot/axis.hpp"
#include "plot/row_chart.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr std::size_t kMostLateChecks = 10;

// What a row is, in words: "check, provisional, open finding".
std::string kind_of(const RankedRow& row) {
    std::string kind;
    const auto add = [&kind](bool holds, std::string_view word) {
        if (holds)
            kind.append(kind.empty() ? "" : ", ").append(word);
    };
    add(row.check, "check");
    add(row.provisional, "provisional");
    add(row.flagged, "open finding");
    return kind;
}

std::string tooltip(const RankedRow& row, const Ranking& data) {
    std::string text = fmt::format("{}: {}", isolated(row.name),
                                   with_unit(row.value, data.quantity.decimals, data.quantity.unit));
    if (row.error)
        text += fmt::format(", {} {}", data.error_name, number_text(*row.error, data.quantity.decimals));
    for (const std::string& more : {kind_of(row), row.remark})
        if (!more.empty())
            text += ", " + more;
    return text;
}

// Indices of the rows to draw: the first ones, and later checks.
std::vector<std::size_t> chosen_rows(const Ranking& data, std::size_t& unfit) {
    std::vector<std::size_t> fit;
    for (std::size_t i = 0; i < data.rows.size(); ++i)
        if (drawable(data.rows[i].value))
            fit.push_back(i);
    unfit = data.rows.size() - fit.size();
    if (fit.size() <= kMostRankedRows)
        return fit;
    std::vector<std::size_t> late;
    for (std::size_t i = kMostRankedRows; i < fit.size() && late.size() < kMostLateChecks; ++i)
        if (data.rows[fit[i]].check)
            late.push_back(fit[i]);
    fit.resize(kMostRankedRows);
    fit.insert(fit.end(), late.begin(), late.end());
    return fit;
}

ChartRow chart_row(const RankedRow& row, const Ranking& data) {
    ChartRow drawn;
    drawn.name = row.name;
    drawn.bold = row.check;
    drawn.number = number_text(row.value, data.quantity.decimals);
    drawn.sign = row.flagged ? "!" : "";
    drawn.value = row.value;
    if (row.error && drawable(*row.error) && *row.error >= 0) {
        drawn.low = row.value - *row.error;
        drawn.high = row.value + *row.error;
    }
    drawn.mark = row.check ? Mark::check : row.provisional ? Mark::ring : Mark::circle;
    drawn.hollow = row.provisional;
    RankedRow told = row;
    if (!drawn.low)
        told.error.reset();
    drawn.tooltip = tooltip(told, data);
    return drawn;
}

} // namespace

std::optional<Figure> ranking(const Frame& frame, const Ranking& data) {
    std::size_t unfit = 0;
    const std::vector<std::size_t> chosen = chosen_rows(data, unfit);
    if (chosen.empty())
        return std::nullopt;
    RowChart chart;
    chart.quantity = data.quantity;
    DataTable table{frame.title, {data.row_name, axis_label(data.quantity)}, {}};
    bool errors = false, checks = false, provisional = false, flagged = false;
    for (const std::size_t i : chosen)
        errors |= data.rows[i].error.has_value();
    if (errors)
        table.columns.push_back(data.error_name);
    table.columns.insert(table.columns.end(), {"kind", "remark"});
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        const RankedRow& row = data.rows[chosen[i]];
        ChartRow drawn = chart_row(row, data);
        drawn.gap_above = i > 0 && chosen[i] != chosen[i - 1] + 1 && i >= kMostRankedRows;
        table.rows.push_back({clean(row.name), number_text(row.value, data.quantity.decimals)});
        if (errors)
            table.rows.back().push_back(drawn.low ? number_text(*row.error, data.quantity.decimals) : "");
        table.rows.back().push_back(kind_of(row));
        table.rows.back().push_back(clean(row.remark));
        checks |= row.check;
        provisional |= row.provisional;
        flagged |= row.flagged;
        chart.rows.push_back(std::move(drawn));
    }
    if (data.cutoff && drawable(*data.cutoff))
        chart.line = data.cutoff;

    using Kind = LegendEntry::Kind;
    if (checks)
        chart.legend.push_back({Kind::mark, Mark::check, "check", {}, "check", {}});
    if (provisional)
        chart.legend.push_back({Kind::mark, Mark::ring, "ring", {}, "provisional", {}});
    if (errors)
        chart.legend.push_back(
            {Kind::line, {}, "circle", " stroke-width=\"1.5\"", "\xC2\xB1 " + data.error_name, {}});
    if (flagged)
        chart.legend.push_back({Kind::sign, {}, {}, {}, "open finding", "!"});
    if (chart.line)
        chart.legend.push_back(
            {Kind::line,
             {},
             "rule",
             " stroke-dasharray=\"6 4\"",
             fmt::format("{} {}", data.cutoff_name,
                         with_unit(*data.cutoff, data.quantity.decimals, data.quantity.unit)),
             {}});

    std::string note;
    if (const std::size_t left = data.rows.size() - unfit - chosen.size(); left > 0)
        note = fmt::format("{} of {} rows are not drawn.", left, data.rows.size() - unfit);
    if (unfit > 0)
        note += fmt::format("{}{} no value that can be drawn.", note.empty() ? "" : " ",
                            unfit == 1 ? "1 row has" : fmt::format("{} rows have", unfit));
    std::string facts =
        fmt::format("{}, from {} to {}.", counted(chosen.size(), "row", "rows"),
                    tooltip(data.rows[chosen.front()], data), tooltip(data.rows[chosen.back()], data));
    if (!note.empty())
        facts += " " + note;
    Figure figure = draw_rows(frame, chart, facts);
    figure.table = std::move(table);
    figure.note = std::move(note);
    return figure;
}

} // namespace thresh::plot

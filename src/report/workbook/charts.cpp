// The library knows no error bars of given length, and not every program draws high-low lines: the SE of a
// line is a box of stacked bars, which all draw. Axes end at round numbers that the data ask for: means of a
// constituent differ little, and an axis from 0 would hide it.
#include "report/workbook/charts.hpp"

#include "report/workbook/book_text.hpp"
#include "report/workbook/table_sheet.hpp"

#include <thresh/report/write.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>

namespace thresh::report {

namespace {

using summary::LineChart;

constexpr const char* kSheet = "Charts";
constexpr unsigned kWidth = 620, kHeight = 500; // pixels of a chart
constexpr lxw_row_t kRowsAChart = 26;           // 20 pixels each
constexpr lxw_col_t kColumnsAChart = 9;         // 75 pixels each
constexpr lxw_color_t kInk = 0x1F5FBF, kLine = 0x404040, kFaint = 0xD9D9D9, kBox = 0x9DB9E3;

// Where the numbers of one chart stand.
struct Block {
    lxw_row_t first = 0, last_best = 0, last_pair = 0;
    lxw_col_t column = 0; // line, mean, mean - SE, SE, (blank), line, other, ranked
};
constexpr lxw_col_t kBlockWidth = 9;

double stored(double value, std::optional<int> digits) {
    std::string text;
    append_number(text, value, digits);
    double read = value;
    std::from_chars(text.data(), text.data() + text.size(), read);
    return read;
}

// Ends of an axis over the values: round, with some room.
std::pair<double, double> axis(double low, double high) {
    const double span = std::max(high - low, 1e-6);
    const double step = std::pow(10.0, std::floor(std::log10(span)));
    const double fine = span / step < 2 ? step / 5 : span / step < 5 ? step / 2 : step;
    return {std::floor((low - 0.05 * span) / fine) * fine, std::ceil((high + 0.05 * span) / fine) * fine};
}

std::string titled(const LineChart& chart, const std::string& name) {
    const bool converted = !chart.basis.empty();
    return fmt::format("{}{}", name,
                       converted ? fmt::format(" ({})", chart.basis == "dry" || chart.basis == "as-is"
                                                            ? chart.basis
                                                            : chart.basis + " % moisture")
                                 : "");
}

void set_axis(lxw_chart_axis* of, const std::string& name, std::pair<double, double> ends,
              unsigned decimals) {
    chart_axis_set_name(of, name.c_str());
    chart_axis_set_min(of, ends.first);
    chart_axis_set_max(of, ends.second);
    const bool fine = ends.second - ends.first < 5;
    chart_axis_set_num_format(of, fine && decimals > 0 ? "0.0" : "0");
    lxw_chart_line faint{};
    faint.color = kFaint;
    faint.width = 0.75;
    chart_axis_major_gridlines_set_visible(of, LXW_TRUE);
    chart_axis_major_gridlines_set_line(of, &faint);
}

void set_title(lxw_chart* chart, std::string text) {
    lxw_chart_font font{};
    font.size = 11;
    font.bold = LXW_TRUE;
    bool cut = false;
    text = book_text(text, 255, cut);
    chart_title_set_name(chart, text.c_str());
    chart_title_set_name_font(chart, &font);
}

// A box from mean - SE to mean + SE, its middle line the mean, on an unseen bar that carries it there.
lxw_chart* ranked_chart(Book& book, const LineChart& of, const Block& at, unsigned decimals) {
    lxw_chart* chart = workbook_add_chart(book.handle(), LXW_CHART_BAR_STACKED);
    if (chart == nullptr) {
        book.check(LXW_ERROR_MEMORY_MALLOC_FAILED);
        return nullptr;
    }
    double low = of.best.front().mean, high = low;
    for (const LineChart::Ranked& line : of.best) {
        low = std::min(low, line.low.value_or(line.mean));
        high = std::max(high, line.high.value_or(line.mean));
    }
    const std::pair<lxw_col_t, const char*> series[] = {{2, "mean - SE"}, {3, "SE"}, {3, "SE"}};
    for (const auto& [offset, name] : series) {
        lxw_chart_series* made = chart_add_series(chart, nullptr, nullptr);
        if (made == nullptr) {
            book.check(LXW_ERROR_MEMORY_MALLOC_FAILED);
            return nullptr;
        }
        const auto column = static_cast<lxw_col_t>(at.column + offset);
        chart_series_set_categories(made, kSheet, at.first, at.column, at.last_best, at.column);
        chart_series_set_values(made, kSheet, at.first, column, at.last_best, column);
        chart_series_set_name(made, name);
        lxw_chart_line line{};
        lxw_chart_fill fill{};
        line.none = fill.none = offset == 2 ? LXW_TRUE : LXW_FALSE;
        line.color = kLine;
        line.width = 1;
        fill.color = kBox;
        chart_series_set_line(made, &line);
        chart_series_set_fill(made, &fill);
    }
    chart_set_series_gap(chart, 40);
    const std::string drawn = of.lines > of.best.size()
                                  ? fmt::format("the first {} of {} lines", of.best.size(), of.lines)
                                  : fmt::format("{} lines", of.lines);
    const std::string without =
        of.not_drawn > 0 ? fmt::format("; {} without one not drawn", of.not_drawn) : std::string();
    set_title(chart, fmt::format("{}: {}, {}mean and SE of {}{}", of.material, of.ranked,
                                 of.adjusted ? "adjusted " : "", drawn, without));
    chart_legend_set_position(chart, LXW_CHART_LEGEND_NONE);
    // Of bars the library calls the axis of values x, as it lies.
    set_axis(chart->x_axis, titled(of, of.ranked), axis(low, high), decimals);
    lxw_chart_font small{};
    small.size = 8;
    chart_axis_set_num_font(chart->y_axis, &small);
    chart_axis_set_interval_unit(chart->y_axis, 1);
    chart_axis_set_reverse(chart->y_axis);      // the first line on top,
    chart_axis_set_crossing_max(chart->y_axis); // the numbers below all the same
    chart_axis_major_gridlines_set_visible(chart->y_axis, LXW_FALSE);
    return chart;
}

lxw_chart* pair_chart(Book& book, const LineChart& of, const Block& at, unsigned decimals) {
    lxw_chart* chart = workbook_add_chart(book.handle(), LXW_CHART_SCATTER);
    lxw_chart_series* made = chart == nullptr ? nullptr : chart_add_series(chart, nullptr, nullptr);
    if (made == nullptr) {
        book.check(LXW_ERROR_MEMORY_MALLOC_FAILED);
        return nullptr;
    }
    const auto x = static_cast<lxw_col_t>(at.column + 6), y = static_cast<lxw_col_t>(at.column + 7);
    chart_series_set_categories(made, kSheet, at.first, x, at.last_pair, x);
    chart_series_set_values(made, kSheet, at.first, y, at.last_pair, y);
    chart_series_set_name(made, "lines");
    lxw_chart_line ink{};
    ink.color = kInk;
    lxw_chart_fill fill{};
    fill.none = LXW_TRUE; // open circles: where they lie over each other, each stays visible
    chart_series_set_marker_type(made, LXW_CHART_MARKER_CIRCLE);
    chart_series_set_marker_size(made, 5);
    chart_series_set_marker_line(made, &ink);
    chart_series_set_marker_fill(made, &fill);
    const auto by_x = [](const auto& a, const auto& b) { return a.other < b.other; };
    const auto by_y = [](const auto& a, const auto& b) { return a.ranked < b.ranked; };
    const auto [left, right] = std::minmax_element(of.pairs.begin(), of.pairs.end(), by_x);
    const auto [low, high] = std::minmax_element(of.pairs.begin(), of.pairs.end(), by_y);
    set_title(chart,
              fmt::format("{}: {} against {}, {} lines", of.material, of.ranked, of.other, of.pairs.size()));
    chart_legend_set_position(chart, LXW_CHART_LEGEND_NONE);
    set_axis(chart->x_axis, titled(of, of.other), axis(left->other, right->other), decimals);
    set_axis(chart->y_axis, titled(of, of.ranked), axis(low->ranked, high->ranked), decimals);
    return chart;
}

void put(Book& book, lxw_worksheet* sheet, lxw_row_t row, lxw_col_t column, lxw_chart* chart,
         const std::string& words) {
    if (chart == nullptr)
        return;
    std::string description = words;
    lxw_chart_options options{};
    // A chart of the library is 480 by 288 pixels.
    options.x_scale = kWidth / 480.0;
    options.y_scale = kHeight / 288.0;
    options.object_position = LXW_OBJECT_DONT_MOVE_DONT_SIZE;
    options.description = description.data();
    book.check(worksheet_insert_chart_opt(sheet, row, column, chart, &options));
}

// One cell of the numbers below the charts.
class Numbers {
  public:
    Numbers(Book& book, lxw_worksheet* sheet, std::optional<int> digits)
        : book_(book), sheet_(sheet), digits_(digits) {}
    void text(lxw_row_t row, lxw_col_t column, std::string_view value, Look look = Look::text) {
        bool cut = false;
        const std::string text = book_text(value, kCellText, cut);
        book_.check(worksheet_write_string(sheet_, row, column, text.c_str(), book_.format(look)));
    }
    void number(lxw_row_t row, lxw_col_t column, double value, unsigned decimals) {
        if (std::isfinite(value))
            book_.check(worksheet_write_number(sheet_, row, column, stored(value, digits_),
                                               book_.format(Look::number, decimals)));
    }

  private:
    Book& book_;
    lxw_worksheet* sheet_;
    std::optional<int> digits_;
};

} // namespace

std::size_t write_charts(Book& book, lxw_worksheet* sheet, lxw_worksheet* lines, std::uint16_t beside,
                         std::span<const LineChart> charts, std::span<const unsigned> decimals,
                         std::optional<int> digits) {
    Numbers numbers(book, sheet, digits);
    if (charts.empty()) {
        numbers.text(0, 0, "No charts: no material has two lines with a number");
        return 1;
    }
    const auto heading = static_cast<lxw_row_t>(kRowsAChart * charts.size() + 1);
    std::size_t longest = 0;
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < charts.size(); ++i) {
        Block block;
        block.first = heading + 1;
        block.last_best = heading + static_cast<lxw_row_t>(std::max<std::size_t>(1, charts[i].best.size()));
        block.last_pair = heading + static_cast<lxw_row_t>(std::max<std::size_t>(1, charts[i].pairs.size()));
        block.column = static_cast<lxw_col_t>(kBlockWidth * i);
        blocks.push_back(block);
        longest = std::max({longest, charts[i].best.size(), charts[i].pairs.size()});
    }
    for (std::size_t i = 0; i < charts.size(); ++i) {
        const LineChart& chart = charts[i];
        const Block& at = blocks[i];
        const std::string ranked_words =
            fmt::format("{} of the best lines of {}", chart.ranked, chart.material);
        const std::string pair_words =
            fmt::format("{} against {} of the lines of {}", chart.ranked, chart.other, chart.material);
        const auto row = static_cast<lxw_row_t>(kRowsAChart * i);
        put(book, sheet, row, 0, ranked_chart(book, chart, at, decimals[i]), ranked_words);
        put(book, lines, row + 1, beside, ranked_chart(book, chart, at, decimals[i]), ranked_words);
        if (chart.pairs.size() < 2)
            continue;
        put(book, sheet, row, kColumnsAChart, pair_chart(book, chart, at, decimals[i]), pair_words);
        put(book, lines, row + 1, static_cast<lxw_col_t>(beside + kColumnsAChart),
            pair_chart(book, chart, at, decimals[i]), pair_words);
    }

    // Row by row: the library in constant memory takes no earlier row again.
    for (std::size_t i = 0; i < charts.size(); ++i) {
        const auto column = blocks[i].column;
        const std::string names[] = {charts[i].material,
                                     charts[i].ranked + (charts[i].adjusted ? "_adj" : ""), "mean - SE",
                                     "SE (drawn as 0 where n is 1)"};
        for (lxw_col_t c = 0; c < 4; ++c)
            numbers.text(heading, static_cast<lxw_col_t>(column + c), names[c], Look::heading);
        if (charts[i].pairs.size() >= 2) {
            const std::string pair_names[] = {charts[i].material, charts[i].other, charts[i].ranked};
            for (lxw_col_t c = 0; c < 3; ++c)
                numbers.text(heading, static_cast<lxw_col_t>(column + 5 + c), pair_names[c], Look::heading);
        }
    }
    for (std::size_t line = 0; line < longest; ++line)
        for (std::size_t i = 0; i < charts.size(); ++i) {
            const auto row = static_cast<lxw_row_t>(heading + 1 + line);
            const auto column = blocks[i].column;
            if (line < charts[i].best.size()) {
                const LineChart::Ranked& best = charts[i].best[line];
                numbers.text(row, column, best.line);
                numbers.number(row, static_cast<lxw_col_t>(column + 1), best.mean, decimals[i]);
                numbers.number(row, static_cast<lxw_col_t>(column + 2), best.low.value_or(best.mean),
                               decimals[i]);
                numbers.number(row, static_cast<lxw_col_t>(column + 3), best.se.value_or(0), decimals[i]);
            }
            if (charts[i].pairs.size() >= 2 && line < charts[i].pairs.size()) {
                const LineChart::Pair& pair = charts[i].pairs[line];
                numbers.text(row, static_cast<lxw_col_t>(column + 5), pair.line);
                numbers.number(row, static_cast<lxw_col_t>(column + 6), pair.other, decimals[i]);
                numbers.number(row, static_cast<lxw_col_t>(column + 7), pair.ranked, decimals[i]);
            }
        }
    book.check(
        worksheet_set_column(sheet, 0, static_cast<lxw_col_t>(kBlockWidth * charts.size()), 10, nullptr));
    worksheet_set_portrait(sheet);
    worksheet_set_paper(sheet, 9); // A4
    worksheet_fit_to_pages(sheet, 1, 1);
    // On paper the pictures; the numbers behind them stand in the tables.
    book.check(worksheet_print_area(sheet, 0, 0, heading - 1, 2 * kColumnsAChart - 1));
    return longest + 1;
}

} // namespace thresh::report

// Rows are written as they come; widths, hidden columns and the page are decided after the last one, when it
// is known what the columns hold. Columns that people look for last (SD, SE, n, ...) stand in an outline that
// one click opens; columns without any value are hidden.
#include "report/workbook/table_sheet.hpp"

#include "report/text_cells.hpp"
#include "report/workbook/book_text.hpp"
#include "report/workbook/cell_sink.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::report {

namespace {

using summary::ColumnType;

constexpr unsigned kButton = 3;                       // characters that the filter button takes of a heading
constexpr unsigned kLongestText = 44, kSentence = 70; // wider text is broken
constexpr unsigned kLongestUpright = 10;              // longer headings of numbers are turned
constexpr unsigned kFrozenMost = 70;                  // more in sight would leave no room to scroll
constexpr double kRowHeight = 15, kUprightCharacter = 6.2, kUprightRest = 14;

bool narrow(const summary::OutColumn& column) {
    return column.type == ColumnType::number || column.type == ColumnType::integer;
}

bool outlined(const summary::OutColumn& column) {
    return column.detail >= 2 || (column.detail == 1 && column.type == ColumnType::integer);
}

// Long names of numbers are turned; in the outline there is room, and the longest names of all.
bool upright(const summary::OutColumn& column) {
    return narrow(column) && !outlined(column) && display_width(column.name) > kLongestUpright;
}

Look heading_look(const summary::OutColumn& column) {
    return upright(column) ? Look::upright : narrow(column) ? Look::number_heading : Look::heading;
}

unsigned width_of(const summary::OutColumn& column, unsigned widest) {
    const unsigned indent = narrow(column) ? 0 : 1;
    const unsigned heading = upright(column) ? 4 : display_width(column.name) + kButton + indent;
    return std::max(heading, std::min(widest + 1, widest_text(column)) + indent);
}

// Which columns of the table the sheet holds: all, unless there are too many cells or columns.
std::vector<std::size_t> kept_columns(const summary::Table& table, std::size_t rows) {
    const auto& columns = table.columns();
    const bool many = rows > 0 && columns.size() > kMostCells / rows;
    std::vector<std::size_t> kept;
    for (std::size_t i = 0; i < columns.size() && kept.size() < kSheetColumns; ++i)
        if (!many || columns[i].detail < 2)
            kept.push_back(i);
    return kept;
}

void write_heading(Book& book, lxw_worksheet* sheet, const std::vector<summary::OutColumn>& columns,
                   const std::vector<std::size_t>& kept) {
    double height = kRowHeight;
    for (const std::size_t i : kept)
        if (upright(columns[i]))
            height = std::max(height, kUprightRest + kUprightCharacter * display_width(columns[i].name));
    book.check(worksheet_set_row(sheet, 0, height, nullptr));
    lxw_col_t at = 0;
    for (const std::size_t i : kept) {
        bool cut = false;
        const std::string name = book_text(columns[i].name, kCellText, cut);
        book.check(
            worksheet_write_string(sheet, 0, at++, name.c_str(), book.format(heading_look(columns[i]))));
    }
}

// Sets widths and outline; returns the characters across of what is seen, and how many columns to keep in
// sight.
std::pair<unsigned, std::size_t> lay_out_columns(Book& book, lxw_worksheet* sheet, const WorkbookSheet& about,
                                                 const std::vector<std::size_t>& kept, const CellSink& sink,
                                                 SheetFacts& facts) {
    unsigned across = 0;
    std::size_t frozen = 0;
    bool before_outlined = false;
    for (std::size_t i = 0; i < sink.use().size(); ++i) {
        const auto& use = sink.use()[i];
        const summary::OutColumn& column = about.table->columns()[kept[i]];
        const bool empty = !use.any && facts.rows > 0;
        const bool closed = !empty && outlined(column);
        const unsigned width = width_of(column, use.width);
        lxw_row_col_options options{};
        options.hidden = empty || closed ? LXW_TRUE : LXW_FALSE;
        options.level = closed ? 1 : 0;
        options.collapsed = before_outlined && !closed ? LXW_TRUE : LXW_FALSE;
        before_outlined = closed || (empty && before_outlined);
        book.check(worksheet_set_column_opt(sheet, static_cast<lxw_col_t>(i), static_cast<lxw_col_t>(i),
                                            width, nullptr, &options));
        facts.empty += empty ? 1U : 0U;
        facts.hidden += closed ? 1U : 0U;
        across += empty || closed ? 0U : width;
        if (column.name == about.freeze_after && across <= kFrozenMost)
            frozen = i + 1;
    }
    return {across, frozen};
}

} // namespace

unsigned widest_text(const summary::OutColumn& column) {
    return column.sentence ? kSentence : kLongestText;
}

void set_up_page(Book& book, lxw_worksheet* sheet, unsigned characters) {
    worksheet_set_landscape(sheet);
    worksheet_set_paper(sheet, 9); // A4
    worksheet_set_margins(sheet, 0.4, 0.4, 0.5, 0.6);
    worksheet_fit_to_pages(
        sheet, static_cast<std::uint16_t>((characters + kPageCharacters - 1) / kPageCharacters), 0);
    book.check(worksheet_repeat_rows(sheet, 0, 0));
    book.check(worksheet_set_footer(
        sheet, "&L&A&CFor breeding and selection; not an official analysis&RPage &P of &N"));
}

SheetFacts write_table_sheet(Book& book, lxw_worksheet* sheet, const WorkbookSheet& about,
                             std::optional<int> digits) {
    const summary::Table& table = *about.table;
    SheetFacts facts;
    facts.of_rows = table.rows();
    facts.of_columns = table.columns().size();
    // The heading, and a line that says what is left out.
    const std::size_t most = std::min(about.at_most == 0 ? kSheetRows : about.at_most, kSheetRows - 3);
    const std::size_t rows = std::min(facts.of_rows, most);

    const std::vector<std::size_t> kept = kept_columns(table, rows);
    facts.columns = kept.size();
    write_heading(book, sheet, table.columns(), kept);
    facts.written = facts.columns > 0 ? 1 : 0;
    CellSink sink(book, sheet, table, kept, digits, facts);
    constexpr std::size_t kPiece = 1024; // stops soon after the first error
    for (std::size_t first = 0; first < rows && book.good(); first += kPiece)
        table.write(first, std::min(rows, first + kPiece), sink);
    const auto [across, frozen] = lay_out_columns(book, sheet, about, kept, sink, facts);
    if (facts.columns > 0) {
        const auto last_row = static_cast<lxw_row_t>(rows);
        const auto last_column = static_cast<lxw_col_t>(facts.columns - 1);
        book.check(worksheet_autofilter(sheet, 0, 0, last_row, last_column));
        book.check(
            worksheet_print_area(sheet, 0, 0, rows < facts.of_rows ? last_row + 2 : last_row, last_column));
    }
    if (rows < facts.of_rows) {
        const std::string said = fmt::format("Only the first {} of {} rows are shown here; {} has all", rows,
                                             facts.of_rows, about.file);
        book.check(worksheet_write_string(sheet, static_cast<lxw_row_t>(rows + 2), 0, said.c_str(), nullptr));
        ++facts.written;
    }
    worksheet_freeze_panes(sheet, 1, static_cast<lxw_col_t>(frozen));
    set_up_page(book, sheet, std::max(1U, across));
    if (frozen > 0 && across > kPageCharacters)
        book.check(worksheet_repeat_columns(sheet, 0, static_cast<lxw_col_t>(frozen - 1)));
    facts.beside = static_cast<std::uint16_t>(std::min(facts.columns + 1, kSheetColumns - 1));
    return facts;
}

} // namespace thresh::report

#include "report/workbook/how_sheet.hpp"

#include "report/text_cells.hpp"
#include "report/workbook/book_text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::report {

namespace {

using summary::Shown;

constexpr unsigned kWidths[] = {26, 95, 45};

// Three columns: what, how, source.
class HowSheet {
  public:
    HowSheet(Book& book, lxw_worksheet* sheet) : book_(book), sheet_(sheet) {}
    void title(const std::string& text) {
        if (row_ > 0)
            ++row_;
        line({text}, Look::title);
    }
    void entry(const std::string& what, const std::string& how, const std::string& source = {}) {
        line({what, how, source}, Look::text);
    }
    void code(const std::string& text) { line({text}, Look::code); }
    std::size_t written() const { return written_; }

  private:
    void line(std::initializer_list<std::string> cells, Look look) {
        lxw_col_t column = 0;
        unsigned lines = 1;
        for (const std::string& cell : cells) {
            bool cut = false;
            const std::string text = book_text(cell, kCellText, cut);
            if (!text.empty())
                book_.check(worksheet_write_string(
                    sheet_, row_, column, text.c_str(),
                    book_.format(look == Look::text && column == 0 ? Look::strong : look)));
            if (look == Look::text)
                lines = std::max(lines, lines_needed(text, kWidths[column]));
            ++column;
        }
        if (lines > 1)
            book_.check(worksheet_set_row(sheet_, row_, row_height(lines), nullptr));
        ++row_;
        ++written_;
    }
    Book& book_;
    lxw_worksheet* sheet_;
    lxw_row_t row_ = 0;
    std::size_t written_ = 0;
};

std::string sheet_words(const WorkbookSheet& about, const SheetFacts& facts) {
    std::string text = fmt::format(
        "{}; {}", about.what,
        facts.rows == facts.of_rows
            ? fmt::format("{} {}, all shown", facts.rows, facts.rows == 1 ? "row" : "rows")
            : fmt::format("the first {} of {} rows: {} has all", facts.rows, facts.of_rows, about.file));
    if (facts.hidden > 0)
        text += fmt::format("; {} columns of detail are folded: a click on + above the headings opens them",
                            facts.hidden);
    if (facts.empty > 0)
        text += fmt::format("; {} columns without any value are hidden", facts.empty);
    if (facts.columns < facts.of_columns)
        text += fmt::format("; {} columns are left out: {} has all", facts.of_columns - facts.columns,
                            about.file);
    if (facts.notes < facts.of_notes)
        text += fmt::format(
            "; the first {} of {} marked cells have a note that says why, findings.csv says it of all",
            facts.notes, facts.of_notes);
    if (facts.cut_texts > 0)
        text += fmt::format("; {} texts longer than a cell can hold end in an ellipsis: {} has them whole",
                            facts.cut_texts, about.file);
    return text;
}

void write_marks(HowSheet& sheet) {
    sheet.title("Marks beside numbers");
    const std::pair<Shown, const char*> marks[] = {
        {Shown::low, "below the expected range (blue); of a mean: more than half of its values are"},
        {Shown::high, "above the expected range (orange); of a mean: more than half of its values are"},
        {Shown::review, "to review: a finding marks the value, or one of the values behind a mean"},
        {Shown::left_out,
         "excluded value of a reading: text, not counted by any formula, and missing in the csv files"},
        {Shown::provisional,
         "provisional mean of readings that are all excluded: text, not counted by any formula"}};
    for (const auto& [shown, meaning] : marks)
        sheet.entry(Book::sign(shown), meaning);
    sheet.entry("note", "a corner in a cell: point at it to read why the cell is marked or empty");
}

void write_rules(HowSheet& sheet, const std::string& rules) {
    sheet.title("Rules in force, each with where it came from");
    for (std::size_t at = 0; at < rules.size();) {
        const std::size_t end = std::min(rules.find('\n', at), rules.size());
        sheet.code(rules.substr(at, end - at));
        at = end + 1;
    }
}

} // namespace

std::size_t write_how_sheet(Book& book, lxw_worksheet* sheet, const Workbook& workbook,
                            std::span<const SheetFacts> facts) {
    HowSheet how(book, sheet);
    how.title("How everything in this workbook was computed");
    how.entry("program", "thresh " + workbook.version);
    for (std::size_t i = 0; i < workbook.sheets.size(); ++i)
        how.entry("sheet " + workbook.sheets[i].title, sheet_words(workbook.sheets[i], facts[i]));
    if (!workbook.charts.empty())
        how.entry("sheet Charts", "the best lines of a material with mean and SE, and two constituents "
                                  "against each other; the same "
                                  "charts stand right of the table on the first sheet");
    how.entry("columns",
              "headings are those of the csv files; datapackage.json beside this file describes each");
    write_marks(how);
    for (const summary::HowSection& section : workbook.how) {
        how.title(section.title);
        for (const summary::HowEntry& entry : section.entries)
            how.entry(entry.what, entry.how, entry.source);
    }
    if (!workbook.rules.empty())
        write_rules(how, workbook.rules);
    unsigned across = 0;
    for (lxw_col_t column = 0; column < 3; ++column) {
        book.check(worksheet_set_column(sheet, column, column, kWidths[column] + 1, nullptr));
        across += kWidths[column] + 1;
    }
    set_up_page(book, sheet, across);
    return how.written();
}

} // namespace thresh::report

// See the header.
#include "intake/sheet_rows.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

SheetKind kind_of(const xlsx::SheetCell& cell) {
    switch (cell.kind) {
    case xlsx::CellKind::number:
        return SheetKind::number; // also a long one: rules judge numbers
    case xlsx::CellKind::date:
        return cell.doubtful ? SheetKind::doubtful_date : SheetKind::date;
    case xlsx::CellKind::uncomputed:
        return SheetKind::uncomputed;
    default:
        return SheetKind::text;
    }
}

} // namespace

void to_record(const xlsx::SheetRow& row, std::string& raw, Record& record) {
    record.line = row.row;
    record.of_sheet = true;
    record.cells.clear();
    raw.clear();
    for (const xlsx::SheetCell& cell : row.cells) {
        if (!record.cells.empty())
            raw += '\t';
        raw += cell.text;
        record.cells.push_back({cell.text, false, kind_of(cell), 0});
    }
    record.raw = raw;
}

HeadRow sheet_head(xlsx::SheetRow row) {
    xlsx::spread_spans(row);
    std::string raw;
    Record record;
    to_record(row, raw, record);
    HeadRow head = HeadRow::of(record);
    head.spans = std::any_of(row.spans.begin(), row.spans.end(), [](const xlsx::SheetSpan& span) {
        return !span.text.empty() && span.first_column < span.last_column;
    });
    return head;
}

Result<std::vector<std::size_t>> sheets_to_read(const xlsx::Book& book,
                                                const std::optional<std::string>& wanted) {
    std::vector<std::size_t> sheets;
    std::string names;
    for (std::size_t i = 0; i < book.sheets().size(); ++i) {
        const xlsx::SheetInfo& sheet = book.sheets()[i];
        if (wanted ? sheet.name == *wanted : sheet.visible)
            sheets.push_back(i);
        names += (names.empty() ? "`" : ", `") + sheet.name + "`";
    }
    if (wanted && sheets.empty())
        return fail(fmt::format("the workbook has no sheet `{}`; its sheets are {}", *wanted, names),
                    "correct --sheet");
    std::stable_sort(sheets.begin(), sheets.end(), [&](std::size_t a, std::size_t b) {
        return book.sheets()[a].name < book.sheets()[b].name;
    });
    return sheets;
}

void MergedCells::see(const xlsx::SheetRow& row, const std::vector<std::string>& headings) {
    for (const xlsx::SheetSpan& span : row.spans) {
        const bool filled =
            span.first_column < row.cells.size() && !row.cells[span.first_column].text.empty();
        if (filled || span.text.empty() || span.first_column >= headings.size() ||
            headings[span.first_column].empty())
            continue;
        if (count_++ > 0)
            continue;
        line_ = row.row;
        column_ = span.first_column + 1;
        heading_ = headings[span.first_column];
        value_ = span.text;
    }
}

void MergedCells::tell(const std::string& sheet, std::vector<IntakeNote>& notes) const {
    if (count_ == 0)
        return;
    IntakeNote note;
    note.code = "layout-doubtful";
    note.sheet = sheet;
    note.line = line_;
    note.column = column_;
    note.heading = heading_;
    note.doubt = true;
    note.message =
        fmt::format("{} merged with those above and taken as blank; the first, under `{}`, stands "
                    "below `{}`",
                    count_ == 1 ? "a cell is" : fmt::format("{} cells are", count_), heading_, value_);
    note.help = "unmerge the cells and repeat the value in each row";
    notes.push_back(std::move(note));
}

} // namespace thresh::intake

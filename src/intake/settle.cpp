// Order matters: decimal marks first, for units are judged by values; repeats compare what is left.
#include "intake/settle.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

struct EventWords {
    const char* code;
    bool doubt;
    const char* one;  // message for one row
    const char* many; // for several, with the count
    const char* help;
};

const EventWords& words(RowEvent event) {
    static constexpr EventWords kWords[kRowEvents] = {
        {"layout-doubtful", false, "a summary row is not a reading", "{} summary rows are not readings", ""},
        {"layout-doubtful", false, "a row repeats the heading", "{} rows repeat the heading", ""},
        {"layout-doubtful", false, "a row of units is not a reading", "{} rows of units are not readings",
         ""},
        {"layout-doubtful", false, "a line of text is not a reading", "{} lines of text are not readings",
         ""},
        {"layout-doubtful", false,
         "a row has fewer cells than the heading; the missing ones are read as missing",
         "{} rows have fewer cells than the heading; the missing ones are read as missing",
         "complete the row in the export; nothing when its last cells were left blank"},
        {"layout-doubtful", false, "a quote stands inside a cell and is read as it is",
         "{} rows have a quote inside a cell, read as it is",
         "export the file anew when the text is damaged"},
        {"heading-unknown", true, "a cell stands in a column without heading and is not used",
         "{} cells stand in a column without heading and are not used", "give the column a heading"},
        {"formula-uncomputed", true, "a formula without a stored result is read as missing",
         "{} formulas without a stored result are read as missing",
         "open the workbook in the program that wrote it, compute and save it"},
    };
    return kWords[static_cast<std::size_t>(event)];
}

void event_notes(const TableData& table, std::vector<IntakeNote>& notes) {
    for (std::size_t e = 0; e < kRowEvents; ++e) {
        EventCount total;
        for (const Part& part : table.parts) {
            const EventCount& count = part.events[e];
            if (total.count == 0 && count.count > 0)
                total = {0, count.line, count.column, count.example};
            total.count += count.count;
        }
        if (total.count == 0)
            continue;
        const EventWords& w = words(static_cast<RowEvent>(e));
        IntakeNote note;
        note.code = w.code;
        note.doubt = w.doubt;
        note.line = total.line;
        note.column = total.column;
        note.message = total.count == 1 ? std::string(w.one) : fmt::format(fmt::runtime(w.many), total.count);
        if (!total.example.empty())
            note.message += fmt::format("{}: `{}`", total.count == 1 ? "" : "; the first", total.example);
        note.help = w.help;
        notes.push_back(std::move(note));
    }
}

} // namespace

IntakeNote column_note(const TableData& table, std::uint32_t position, std::string code, bool doubt,
                       std::string message, std::string help) {
    IntakeNote note;
    note.code = std::move(code);
    note.line = table.plan.table->heading_line;
    note.column = position + 1;
    note.heading = table.plan.table->headings[position];
    for (const Column& column : table.plan.table->numbers)
        if (column.position == position)
            note.constituent = column.constituent;
    note.doubt = doubt;
    note.message = std::move(message);
    note.help = std::move(help);
    return note;
}

std::string exported_text(Cell cell, int shift, char mark) {
    const int decimals = std::max(0, static_cast<int>(cell.decimals()) - shift);
    std::int64_t digits = cell.digits();
    int places = static_cast<int>(cell.decimals()) - shift;
    for (; places < 0; ++places)
        digits *= 10;
    std::string text = fmt::format("{:0{}}", digits < 0 ? -digits : digits, decimals + 1);
    if (decimals > 0)
        text.insert(text.size() - static_cast<std::size_t>(decimals), 1, mark);
    return digits < 0 ? "-" + text : text;
}

void make_doubtful(Block& block, Cell& cell, int shift, char mark) {
    if (cell.is_missing() || cell.state() == CellState::unreadable || cell.state() == CellState::doubtful)
        return;
    if (!cell.is_decimal()) {
        cell = Cell::doubtful(cell.side());
        return;
    }
    block.side.push_back({to_double(cell), exported_text(cell, shift, mark)});
    cell = Cell::doubtful(static_cast<std::uint32_t>(block.side.size() - 1));
}

void make_doubtful(TableData& table, std::size_t column) {
    const std::size_t width = table.plan.numbers.size();
    for (Part& part : table.parts)
        for (Block& block : part.blocks)
            for (std::size_t i = column; i < block.cells.size(); i += width)
                make_doubtful(block, block.cells[i], table.plan.numbers[column].shift,
                              table.styles[column].mark);
}

void settle_table(TableData& table, const ConstituentTable& constituents, const ExportOptions& options,
                  std::vector<IntakeNote>& notes) {
    const std::size_t before = notes.size();
    table.styles.assign(table.plan.numbers.size(), table.plan.style);
    settle_decimals(table, constituents, options, notes);
    settle_units(table, constituents, notes);
    settle_repeats(table, constituents, notes);
    settle_times(table, options, notes);
    event_notes(table, notes);
    for (std::size_t n = before; n < notes.size(); ++n)
        notes[n].sheet = table.sheet;
}

} // namespace thresh::intake

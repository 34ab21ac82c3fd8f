// Lists are cut and decoded like exports, but every cell stays text: what it means is for the caller.
#include <thresh/intake/list_table.hpp>

#include "intake/detect_layout.hpp"
#include "intake/fold.hpp"
#include "intake/read_workbook.hpp"
#include "intake/sheet_rows.hpp"
#include "intake/source_text.hpp"
#include "intake/table_plan.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

std::vector<std::string> fold_keys(const std::vector<std::string>& texts) {
    std::vector<std::string> keys;
    keys.reserve(texts.size());
    for (const std::string& text : texts)
        keys.push_back(fold_key(text));
    return keys;
}

// Finds the caller's columns among the headings: first by those that go before the name, which the rules file
// gives. A column found by them is no other's.
void find_known(ListTable& table, const std::vector<ListColumn>& columns) {
    const std::vector<std::string> keys = fold_keys(table.columns);
    std::vector<bool> taken(keys.size(), false);
    const auto find = [&](auto first, auto last) {
        std::optional<std::size_t> found;
        for (; first != last && !found; ++first) {
            const std::string key = fold_key(*first);
            for (std::size_t i = 0; i < keys.size() && !found; ++i)
                if (keys[i] == key && !key.empty() && !taken[i])
                    found = i;
        }
        return found;
    };
    table.known.resize(columns.size());
    for (std::size_t c = 0; c < columns.size(); ++c) {
        const auto& headings = columns[c].headings;
        const auto name = std::ranges::find(headings, columns[c].name);
        if (name != headings.end())
            table.known[c] = find(headings.begin(), name);
    }
    for (const auto& found : table.known)
        if (found)
            taken[*found] = true;
    for (std::size_t c = 0; c < columns.size(); ++c) {
        const std::string_view name = columns[c].name;
        if (!table.known[c])
            table.known[c] = find(&name, &name + 1);
        if (!table.known[c])
            table.known[c] = find(columns[c].headings.begin(), columns[c].headings.end());
    }
}

Result<void> check_required(const ListTable& table, const std::vector<ListColumn>& columns,
                            const std::vector<std::string>& required) {
    if (required.empty())
        return {};
    for (std::size_t i = 0; i < columns.size(); ++i)
        if (table.known[i] && std::find(required.begin(), required.end(), columns[i].name) != required.end())
            return {};
    std::string wanted, seen;
    for (const std::string& name : required)
        wanted += (wanted.empty() ? "`" : "` or `") + name;
    for (const std::string& heading : table.columns)
        seen += (seen.empty() ? "`" : "`, `") + heading;
    return fail(fmt::format("no column is called {}`; the headings are {}`", wanted, seen),
                "rename the heading in the list", table.source, table.heading_line);
}

void note(ListTable& table, std::string code, std::uint32_t line, bool doubt, std::string message,
          std::string help) {
    IntakeNote made;
    made.code = std::move(code);
    made.line = line;
    made.doubt = doubt;
    made.message = std::move(message);
    made.help = std::move(help);
    table.notes.push_back(std::move(made));
}

// False when the first character of a cell tells that it folds to none of the keys that begin with `letters`.
bool may_fold_to(std::string_view text, std::string_view letters) {
    const char first = text.empty() ? ' ' : text.front();
    const bool capital = first >= 'A' && first <= 'Z';
    const bool plain = capital || (first >= 'a' && first <= 'z') || (first >= '0' && first <= '9');
    return !plain ||
           letters.find(capital ? static_cast<char>(first - 'A' + 'a') : first) != std::string_view::npos;
}

bool folds_to(std::string_view text, const std::string& key) {
    return may_fold_to(text, std::string_view(key).substr(0, 1)) && fold_key(text) == key;
}

// What tells a heading among the rows.
struct ListHeadings {
    const HeadingDictionary& dictionary;
    std::vector<std::string> required; // fold_key of each heading of the columns that a list must have
    std::string letters;               // with which these begin
    std::vector<std::string> columns;  // fold_key of each of this table's headings
    std::vector<std::vector<std::string>> rows; // and of each cell of each row that they are made of
};

bool repeats_row(const Record& record, const std::vector<std::string>& keys) {
    for (std::size_t i = 0; i < record.cells.size(); ++i)
        if (const std::string key = fold_key(record.cells[i].text);
            !key.empty() && (i >= keys.size() || key != keys[i]))
            return false;
    return true;
}

// A column that must be there, and mostly known headings beside it. Rows of data hold no such words.
bool is_list_heading(const Record& record, const ListHeadings& headings) {
    const auto must_be = [&](const CellText& cell) {
        const std::string_view text = trim(cell.text);
        return !text.empty() && may_fold_to(text, headings.letters) &&
               std::ranges::find(headings.required, fold_key(text)) != headings.required.end();
    };
    if (!std::ranges::any_of(record.cells, must_be))
        return false;
    std::size_t known = 0, filled = 0;
    for (const CellText& cell : record.cells) {
        const std::string text = heading_text(cell.text);
        if (is_number(text))
            return false;
        filled += !text.empty();
        known += headings.dictionary.understand(text).known();
    }
    return known >= 2 && 2 * known >= filled;
}

Result<void> add_row(ListTable& table, const Record& record, const std::string& sheet,
                     const ListHeadings& headings) {
    if (record.blank())
        return {};
    if (is_list_heading(record, headings)) {
        const auto same = [&](const std::vector<std::string>& keys) { return repeats_row(record, keys); };
        if (std::ranges::any_of(headings.rows, same))
            return {};
        return fail(fmt::format("a second heading stands among the rows: `{}`", trim(record.raw)),
                    "a list has one heading: put the rows below this one into a file of their own", {},
                    record.line);
    }
    ListRow row;
    row.line = record.line;
    row.sheet = sheet;
    row.cells.reserve(table.columns.size());
    bool heading_again = true; // as far as cells are filled
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
        std::string text = text_cell(record.cells[i].text);
        if (i >= table.columns.size()) {
            if (!text.empty()) {
                note(table, "row-rejected", record.line, true,
                     fmt::format("the row is left out: {} cells under {} headings", record.cells.size(),
                                 table.columns.size()),
                     "correct the list");
                return {};
            }
            continue;
        }
        heading_again = heading_again && (text.empty() || folds_to(text, headings.columns[i]));
        row.cells.push_back(std::move(text));
    }
    if (record.unclosed != 0) {
        note(table, "row-rejected", record.line, true, "the row is left out: " + record.unclosed_reason(),
             "correct the list");
        return {};
    }
    if (heading_again)
        return {};
    row.cells.resize(table.columns.size());
    table.rows.push_back(std::move(row));
    return {};
}

// The rows of one text below its heading.
Result<void> read_text_list(ListTable& table, const Input& input, ListHeadings headings,
                            const ExportOptions& options) {
    auto source = open_text(input, options.encoding, true, table.notes);
    if (!source)
        return tl::unexpected(std::move(source.error()));
    const auto bytes = read_all(*source->bytes);
    if (!bytes)
        return tl::unexpected(bytes.error());
    if (trim(*bytes).empty())
        return fail("the list is empty", "name the right file, or leave the list out");
    auto layout = detect_layout(*bytes, true, headings.dictionary, options);
    if (!layout)
        return tl::unexpected(std::move(layout.error()));
    if (layout->doubtful())
        note(table, "layout-doubtful", layout->heading.line, true,
             fmt::format("the list reads with `{}` and with `{}` between cells",
                         delimiter_name(layout->dialect.delimiter),
                         delimiter_name(layout->runner_up.delimiter)),
             "--delimiter");
    table.columns = layout->heading.headings;
    table.heading_line = layout->heading.line;
    const HeadRow& last = layout->head[std::min(layout->heading.data_row(), layout->head.size()) - 1];
    RecordCutter cutter(*bytes, layout->dialect, true, last.end, last.line + last.lines);
    Record record;
    headings.columns = fold_keys(table.columns);
    headings.rows = layout->heading.row_keys;
    while (cutter.next(record))
        if (auto added = add_row(table, record, {}, headings); !added)
            return added;
    return {};
}

// Appends the rows of a sheet's table; columns are brought together by their headings.
void append_sheet(ListTable& table, ListTable sheet) {
    if (table.columns.empty()) {
        table.columns = sheet.columns;
        table.heading_line = sheet.heading_line;
    }
    std::vector<std::size_t> place;
    for (const std::string& heading : sheet.columns) {
        std::size_t at = 0;
        while (at < table.columns.size() && (fold_key(table.columns[at]) != fold_key(heading) ||
                                             std::find(place.begin(), place.end(), at) != place.end()))
            ++at;
        if (at == table.columns.size())
            table.columns.push_back(heading);
        place.push_back(at);
    }
    for (ListRow& row : sheet.rows) {
        std::vector<std::string> cells(table.columns.size());
        for (std::size_t i = 0; i < row.cells.size(); ++i)
            cells[place[i]] = std::move(row.cells[i]);
        row.cells = std::move(cells);
        table.rows.push_back(std::move(row));
    }
    std::move(sheet.notes.begin(), sheet.notes.end(), std::back_inserter(table.notes));
}

Result<void> read_book_list(ListTable& table, const Input& input, ListHeadings headings,
                            const ExportOptions& options) {
    const auto bytes = read_all(*input.bytes);
    if (!bytes)
        return tl::unexpected(bytes.error());
    const auto book = xlsx::Book::open(*bytes);
    if (!book)
        return tl::unexpected(book.error());
    const auto sheets = sheets_to_read(*book, options.sheet);
    if (!sheets)
        return tl::unexpected(sheets.error());
    for (const std::size_t index : *sheets) {
        const std::string& name = book->sheets()[index].name;
        std::vector<xlsx::SheetRow> rows;
        auto done = xlsx::sheet_to_records(
            *book, index,
            [&](const xlsx::SheetRow& row) {
                rows.push_back(row);
                return true;
            },
            [&] { rows.clear(); });
        if (!done)
            return done;
        std::vector<HeadRow> heads;
        for (std::size_t i = 0; i < std::min<std::size_t>(rows.size(), 200); ++i)
            heads.push_back(sheet_head(rows[i]));
        const auto heading = find_heading(heads, headings.dictionary, options.header_row);
        if (!heading) {
            note(table, "layout-doubtful", 0, false,
                 fmt::format("sheet `{}` has no heading row that is known and is not read", name),
                 "--header-row");
            table.notes.back().sheet = name;
            continue;
        }
        ListTable sheet;
        sheet.columns = heading->headings;
        sheet.heading_line = heading->line;
        headings.columns = fold_keys(sheet.columns);
        headings.rows = heading->row_keys;
        std::string raw;
        Record record;
        MergedCells merged;
        for (std::size_t i = heading->data_row(); i < rows.size(); ++i) {
            to_record(rows[i], raw, record);
            merged.see(rows[i], sheet.columns);
            if (auto added = add_row(sheet, record, name, headings); !added) {
                added.error().file = fmt::format("{}[{}]", input.source, name);
                return added;
            }
        }
        merged.tell(name, sheet.notes);
        for (IntakeNote& made : sheet.notes)
            made.sheet = name;
        append_sheet(table, std::move(sheet));
    }
    for (ListRow& row : table.rows)
        row.cells.resize(table.columns.size());
    if (table.columns.empty())
        return fail("no sheet has a heading row that is known",
                    "rename the headings, or give --sheet and --header-row");
    return {};
}

} // namespace

Result<ListTable> read_list(const Input& input, const std::vector<ListColumn>& columns,
                            const std::vector<std::string>& required, const ExportOptions& options) {
    if (!input.bytes)
        return tl::unexpected(input.error);
    ListTable table;
    table.source = input.source;
    const ConstituentTable constituents;
    HeadingDictionary dictionary(constituents, options.columns);
    dictionary.add_list_headings(columns);
    ListHeadings headings{dictionary, {}, {}, {}, {}};
    for (const ListColumn& column : columns)
        if (std::ranges::find(required, column.name) != required.end()) {
            headings.required.push_back(fold_key(column.name));
            for (const std::string_view heading : column.headings)
                headings.required.push_back(fold_key(heading));
        }
    for (const std::string& key : headings.required)
        headings.letters += key.substr(0, 1);
    auto done = is_workbook(input) ? read_book_list(table, input, std::move(headings), options)
                                   : read_text_list(table, input, std::move(headings), options);
    if (!done) {
        if (done.error().file.empty())
            done.error().file = input.source;
        return tl::unexpected(std::move(done.error()));
    }
    find_known(table, columns);
    if (auto checked = check_required(table, columns, required); !checked)
        return tl::unexpected(std::move(checked.error()));
    return table;
}

} // namespace thresh::intake

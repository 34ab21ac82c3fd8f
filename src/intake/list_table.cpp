// Lists are cut and decoded like exports, but every cell stays text: what it means is for the caller.
#include <thresh/intake/list_table.hpp>

#include "intake/detect_layout.hpp"
#include "intake/fold.hpp"
#include "intake/row_kind.hpp"
#include "intake/source_text.hpp"
#include "intake/table_plan.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

std::string list_cell(std::string_view cell) {
    std::string text = heading_text(cell);
    if (text.size() > 1 && text[0] == '\'' &&
        std::string_view("=+-@").find(text[1]) != std::string_view::npos)
        text.erase(0, 1);
    return text;
}

// Finds the caller's columns among the headings.
void find_known(ListTable& table, const std::vector<ListColumn>& columns) {
    std::vector<std::string> keys;
    for (const std::string& heading : table.columns)
        keys.push_back(fold_key(heading));
    for (const ListColumn& column : columns) {
        std::optional<std::size_t> found;
        std::vector<std::string> names = {fold_key(column.name)};
        for (const std::string_view heading : column.headings)
            names.push_back(fold_key(heading));
        for (const std::string& name : names) {
            for (std::size_t i = 0; i < keys.size() && !found; ++i)
                if (keys[i] == name && !name.empty())
                    found = i;
            if (found)
                break;
        }
        table.known.push_back(found);
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

void add_row(ListTable& table, const Record& record, const std::string& sheet) {
    if (record.blank())
        return;
    ListRow row;
    row.line = record.line;
    row.sheet = sheet;
    std::size_t same = 0, filled = 0;
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
        std::string text = list_cell(record.cells[i].text);
        if (i >= table.columns.size()) {
            if (!text.empty()) {
                note(table, "row-rejected", record.line, true,
                     fmt::format("{} cells under {} headings", record.cells.size(), table.columns.size()),
                     "correct the list");
                return;
            }
            continue;
        }
        filled += !text.empty();
        same += !text.empty() && fold_key(text) == fold_key(table.columns[i]);
        row.cells.push_back(std::move(text));
    }
    if (record.unclosed != 0) {
        note(table, "row-rejected", record.line, true,
             fmt::format("a quote opened at character {} is never closed", record.unclosed),
             "correct the list");
        return;
    }
    if (filled == same)
        return; // the heading again
    row.cells.resize(table.columns.size());
    table.rows.push_back(std::move(row));
}

} // namespace

Result<ListTable> read_list(const Input& input, const std::vector<ListColumn>& columns,
                            const std::vector<std::string>& required, const ExportOptions& options) {
    if (!input.bytes)
        return tl::unexpected(input.error);
    const auto named = [&](Error error) {
        error.file = input.source;
        return tl::unexpected(std::move(error));
    };
    ListTable table;
    table.source = input.source;
    const ConstituentTable constituents;
    HeadingDictionary dictionary(constituents, options.columns);
    dictionary.add_list_headings(columns);
    auto source = open_text(input, options.encoding, true, table.notes);
    if (!source)
        return named(std::move(source.error()));
    const auto bytes = read_all(*source->bytes);
    if (!bytes)
        return named(bytes.error());
    if (trim(*bytes).empty())
        return named({"the list is empty", "", "", 0, 0});
    auto layout = detect_layout(*bytes, true, dictionary, options);
    if (!layout)
        return named(std::move(layout.error()));
    if (layout->doubtful())
        note(table, "layout-doubtful", layout->heading.line, true,
             fmt::format("the list reads with `{}` and with `{}` between cells",
                         delimiter_name(layout->dialect.delimiter),
                         delimiter_name(layout->runner_up.delimiter)),
             "--delimiter");
    table.columns = layout->heading.headings;
    table.heading_line = layout->heading.line;
    find_known(table, columns);
    if (auto checked = check_required(table, columns, required); !checked)
        return tl::unexpected(std::move(checked.error()));
    const HeadRow& last = layout->head[layout->heading.data_row() - 1];
    RecordCutter cutter(*bytes, layout->dialect, true, last.end, last.line + last.lines);
    Record record;
    while (cutter.next(record))
        add_row(table, record, {});
    return table;
}

} // namespace thresh::intake

// Reads the input once more and puts what was decided on the way into words.
#include <thresh/intake/inspect.hpp>

#include "intake/assemble.hpp"
#include "intake/read_exports.hpp"
#include "intake/source_text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

std::string option_delimiter(char delimiter) {
    return fmt::format("--delimiter '{}'", delimiter_name(delimiter));
}

std::string json_text(std::string_view text) {
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\')
            quoted += '\\';
        quoted += c; // headings hold no control characters
    }
    return quoted + '"';
}

// `LF`, `CRLF`, `CR`, or how many of each. Zero bytes are skipped, which UTF-16 has beside each of them.
std::string line_ends(std::string_view bytes) {
    std::size_t crlf = 0, lf = 0, cr = 0;
    bool after_cr = false;
    for (const char c : bytes) {
        if (c == '\0')
            continue;
        crlf += c == '\n' && after_cr;
        lf += c == '\n' && !after_cr;
        cr += c == '\r';
        after_cr = c == '\r';
    }
    cr -= crlf;
    if ((crlf > 0) + (lf > 0) + (cr > 0) <= 1)
        return crlf > 0 ? "CRLF" : lf > 0 ? "LF" : cr > 0 ? "CR" : "none";
    return fmt::format("mixed: {} LF, {} CRLF, {} CR", lf, crlf, cr);
}

void layout_decisions(const FileData& data, const ExportOptions& options, std::string_view bytes,
                      std::vector<Decision>& to) {
    Decision encoding{
        "encoding", {}, data.info.encoding, options.encoding.has_value(), data.encoding_found, 1, {}, {}};
    encoding.option = "--encoding " + data.info.encoding;
    if (data.info.encoding != "workbook")
        to.push_back(std::move(encoding));
    if (!data.layout)
        return;
    to.push_back({"line ends", {}, line_ends(bytes), false, {}, 1, {}, {}});
    const Layout& layout = *data.layout;
    Decision delimiter{
        "delimiter", {}, delimiter_name(layout.dialect.delimiter), layout.delimiter_given, {}, layout.margin,
        {},          {}};
    delimiter.why = layout.sep_line
                        ? "a `sep=` line"
                        : fmt::format("{} columns under known headings", layout.heading.headings.size());
    if (layout.runner_up_columns > 0)
        delimiter.runner_up = fmt::format("{} ({} columns)", delimiter_name(layout.runner_up.delimiter),
                                          layout.runner_up_columns);
    delimiter.option = option_delimiter(layout.dialect.delimiter);
    to.push_back(std::move(delimiter));
    to.push_back({"quote",
                  {},
                  layout.dialect.quote == '\0' ? "none" : std::string(1, layout.dialect.quote),
                  false,
                  {},
                  1,
                  {},
                  {}});
}

// Of a note with a line. A sheet or text may hold several tables, each under its heading.
bool is_about(const IntakeNote& note, const TableData& table, const FileData& data) {
    const TableData* last = nullptr;
    for (const TableData& other : data.tables)
        if (other.sheet == note.sheet && other.plan.table->heading_line <= note.line)
            last = &other;
    return last == &table;
}

void table_decisions(const FileData& data, const TableData& table, const ExportOptions& options,
                     std::vector<Decision>& to) {
    const TableColumns& columns = *table.plan.table;
    const bool text = data.layout != nullptr;
    if (!text)
        to.push_back({"sheet",
                      table.sheet,
                      table.sheet,
                      options.sheet.has_value(),
                      "it has known headings",
                      1,
                      {},
                      fmt::format("--sheet '{}'", table.sheet)});
    Decision heading{"heading row",
                     table.sheet,
                     std::to_string(columns.heading_line),
                     options.header_row.has_value(),
                     {},
                     1,
                     {},
                     {}};
    heading.why = fmt::format("{} of {} headings are known", columns.headings.size() - columns.unknown.size(),
                              columns.headings.size());
    heading.option = fmt::format("--header-row {}", columns.heading_line);
    to.push_back(std::move(heading));
    const char mark = table.styles.empty() ? table.plan.style.mark : table.styles[0].mark;
    const bool same =
        std::all_of(table.styles.begin(), table.styles.end(), [&](NumberStyle s) { return s.mark == mark; });
    const bool open = std::any_of(data.notes.begin(), data.notes.end(), [&](const IntakeNote& note) {
        return note.code == "decimal-doubtful" && note.doubt && is_about(note, table, data);
    });
    std::size_t rows = 0;
    for (const Part& part : table.parts)
        rows += part.rows();
    to.push_back({"decimal mark",
                  table.sheet,
                  open   ? std::string()
                  : same ? std::string(1, mark)
                         : "by column",
                  options.decimal.has_value(),
                  open ? "see below" : "",
                  1,
                  {},
                  open ? "--decimal . or --decimal ," : fmt::format("--decimal {}", mark)});
    const bool no_order = table.date_format.empty() && !table.date_proof.empty(); // months by name: no option
    if (table.plan.time)
        to.push_back({"date format",
                      table.sheet,
                      no_order ? "any" : table.date_format,
                      options.date_format.has_value(),
                      !table.date_proof.empty() ? table.date_proof
                      : rows == 0               ? "no row to tell it by"
                                                : "see below",
                      1,
                      {},
                      no_order                    ? std::string()
                      : table.date_format.empty() ? "--date-format dmy, mdy, ymd, serial1900 or serial1904"
                                                  : "--date-format " + table.date_format});
    const bool assumed = std::any_of(columns.numbers.begin(), columns.numbers.end(), [](const Column& c) {
        return c.part_of == PartOf::sample && c.basis.kind == Basis::Kind::not_stated &&
               c.constituent != constituent::moisture;
    });
    if (assumed || options.assume_basis)
        to.push_back({"basis",
                      table.sheet,
                      options.assume_basis ? to_text(*options.assume_basis) : "as-is",
                      options.assume_basis.has_value(),
                      "no heading states it",
                      1,
                      {},
                      "--assume-basis " + (options.assume_basis ? to_text(*options.assume_basis) : "as-is")});
}

// The rules-file entry for a column and the headings it stands under.
std::string rules_entry(const ColumnMeaning& column, const std::vector<std::string>& headings) {
    std::string texts;
    for (const std::string& heading : headings)
        texts += (texts.empty() ? "" : ", ") + json_text(heading);
    return fmt::format(
        "\"{}\": {{ \"headings\": [{}]{}{} }}", column.meaning, texts,
        column.part_of.empty() ? "" : fmt::format(", \"part_of\": \"{}\"", column.part_of),
        column.basis.empty() || column.basis_assumed ? "" : fmt::format(", \"basis\": \"{}\"", column.basis));
}

void count_cells(const TableData& table, std::size_t index, ColumnMeaning& meaning) {
    for (const Part& part : table.parts)
        for (const Block& block : part.blocks)
            for (std::size_t row = 0; row < block.rows; ++row) {
                const Cell cell = block.cells[row * table.plan.numbers.size() + index];
                switch (cell.state()) {
                case CellState::number:
                    ++meaning.numbers;
                    break;
                case CellState::missing:
                    ++meaning.missing;
                    break;
                case CellState::below_limit:
                    ++meaning.below_limit;
                    break;
                case CellState::doubtful:
                    ++meaning.open;
                    break;
                case CellState::unreadable:
                    if (meaning.unreadable++ == 0) {
                        meaning.unreadable_line = block.line[row];
                        meaning.unreadable_text = block.side[cell.side()].text;
                    }
                    break;
                }
            }
}

ColumnMeaning number_meaning(const FileData& data, const TableData& table, std::size_t index,
                             const ConstituentTable& constituents) {
    const Column& column = table.plan.table->numbers[index];
    ColumnMeaning meaning;
    meaning.position = column.position;
    meaning.heading = column.heading;
    meaning.meaning = constituents[column.constituent].name;
    meaning.unit = column.unit.empty() ? constituents[column.constituent].unit : column.unit;
    meaning.part_of = to_text(column.part_of);
    if (column.part_of == PartOf::sample) {
        meaning.basis_assumed =
            column.basis.kind == Basis::Kind::not_stated && column.constituent != constituent::moisture;
        meaning.basis = meaning.basis_assumed ? "as-is" : to_text(column.basis);
    }
    const NumberStyle style = table.styles[index];
    meaning.decimal = style.grouping == '\0' ? std::string(1, style.mark)
                                             : fmt::format("{} (thousands {})", style.mark, style.grouping);
    bool unit_open = false;
    for (const IntakeNote& note : data.notes) {
        if (!note.doubt || !is_about(note, table, data) || note.column != column.position + 1)
            continue;
        if (note.code == "decimal-doubtful")
            meaning.decimal = "?";
        unit_open = unit_open || note.code == "unit-doubtful";
    }
    if (!unit_open) // an entry that names no unit would settle it for percent
        meaning.rules = rules_entry(meaning, {meaning.heading});
    count_cells(table, index, meaning);
    return meaning;
}

TableInspection inspect_table(const FileData& data, const TableData& table,
                              const ConstituentTable& constituents) {
    TableInspection inspection;
    inspection.sheet = table.sheet;
    inspection.heading_line = table.plan.table->heading_line;
    inspection.unit_rows = table.unit_rows;
    for (const Part& part : table.parts)
        inspection.readings += part.rows();
    std::vector<bool> told(table.plan.table->headings.size());
    const auto add = [&](ColumnMeaning column) {
        told[column.position] = true;
        inspection.columns.push_back(std::move(column));
    };
    for (std::size_t i = 0; i < table.plan.numbers.size(); ++i)
        add(number_meaning(data, table, i, constituents));
    const auto add_other = [&](std::uint32_t position, std::string meaning) {
        ColumnMeaning column;
        column.position = position;
        column.heading = table.plan.table->headings[position];
        column.meaning = std::move(meaning);
        if (!column.meaning.empty())
            column.rules = rules_entry(column, {column.heading});
        add(std::move(column));
    };
    for (const auto& [field, position] : table.plan.texts)
        add_other(position, std::string(field_info(field).name));
    if (table.plan.time)
        add_other(*table.plan.time, "time");
    if (table.plan.clock)
        add_other(*table.plan.clock, "time");
    for (std::uint32_t i = 0; i < told.size(); ++i)
        if (!told[i])
            add_other(i, {});
    std::sort(inspection.columns.begin(), inspection.columns.end(),
              [](const ColumnMeaning& a, const ColumnMeaning& b) { return a.position < b.position; });
    return inspection;
}

// One entry for each meaning, with the headings of all tables that say the same of it.
std::string rules_snippet(const std::vector<TableInspection>& tables) {
    std::vector<std::pair<ColumnMeaning, std::vector<std::string>>> entries;
    for (const TableInspection& table : tables)
        for (const ColumnMeaning& column : table.columns) {
            if (column.rules.empty())
                continue;
            const auto same = std::find_if(entries.begin(), entries.end(), [&](const auto& entry) {
                return entry.first.meaning == column.meaning;
            });
            if (same == entries.end()) {
                entries.push_back({column, {column.heading}});
                continue;
            }
            auto& headings = same->second;
            if (rules_entry(same->first, {}) == rules_entry(column, {}) &&
                std::find(headings.begin(), headings.end(), column.heading) == headings.end())
                headings.push_back(column.heading);
        }
    std::string text;
    for (const auto& [column, headings] : entries)
        text += (text.empty() ? "" : ",\n  ") + rules_entry(column, headings);
    return text.empty() ? text : "\"columns\": {\n  " + text + "\n}";
}

// The options that pin what was decided, as far as all tables have it in common: an option is about all of
// them. A heading row given is that of the first table of each sheet, below which others are found.
std::string pinning_options(const std::vector<Decision>& decisions) {
    struct Pin {
        std::string what, sheet, option;
        bool common = true;
    };
    std::vector<Pin> pins;
    for (const Decision& decision : decisions) {
        const bool settled =
            !decision.option.empty() && !decision.chosen.empty() && decision.chosen != "by column";
        const auto pin = std::find_if(pins.begin(), pins.end(),
                                      [&](const Pin& known) { return known.what == decision.what; });
        if (pin == pins.end()) {
            pins.push_back({decision.what, decision.sheet, decision.option, settled});
        } else if (decision.what != "heading row" || pin->sheet != decision.sheet) {
            pin->common = pin->common && settled && pin->option == decision.option;
            pin->sheet = decision.sheet;
        }
    }
    std::string options;
    for (const Pin& pin : pins)
        if (pin.common)
            options += (options.empty() ? "" : " ") + pin.option;
    return options;
}

} // namespace

std::string to_text(PartOf part_of) {
    return part_of == PartOf::sample    ? "sample"
           : part_of == PartOf::oil     ? "oil"
           : part_of == PartOf::protein ? "protein"
                                        : "";
}

Inspection inspect(const Input& input, const ConstituentTable& table, const ExportOptions& options) {
    const HeadingDictionary dictionary(table, options.columns);
    std::vector<Pools> pools(1);
    FileData data = read_input(input, dictionary, options, ReadSettings{}, pools, 0, 1);
    Inspection inspection;
    std::string bytes;
    if (data.layout)
        if (auto all = read_all(*input.bytes))
            bytes = std::move(*all);
    layout_decisions(data, options, bytes, inspection.decisions);
    for (const TableData& one : data.tables) {
        table_decisions(data, one, options, inspection.decisions);
        inspection.tables.push_back(inspect_table(data, one, table));
    }
    inspection.rules = rules_snippet(inspection.tables);
    inspection.options = pinning_options(inspection.decisions);
    std::vector<FileData> files;
    files.push_back(std::move(data));
    Readings readings = assemble(std::move(files), std::move(pools), 1);
    inspection.file = std::move(readings.files[0]);
    inspection.notes = std::move(readings.notes);
    readings.rejected.resize(std::min<std::size_t>(readings.rejected.size(), 10));
    inspection.rejected = std::move(readings.rejected);
    return inspection;
}

} // namespace thresh::intake

// Reads the input once more and puts what was decided on the way into words.
#include <thresh/intake/inspect.hpp>

#include "intake/assemble.hpp"
#include "intake/read_exports.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

std::string option_delimiter(char delimiter) {
    return fmt::format("--delimiter '{}'", delimiter_name(delimiter));
}

void layout_decisions(const FileData& data, const ExportOptions& options, std::vector<Decision>& to) {
    Decision encoding{
        "encoding", {}, data.info.encoding, options.encoding.has_value(), data.encoding_found, 1, {}, {}};
    encoding.option = "--encoding " + data.info.encoding;
    if (data.info.encoding != "workbook")
        to.push_back(std::move(encoding));
    if (!data.layout)
        return;
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

void table_decisions(const FileData& data, const TableData& table, const ExportOptions& options,
                     std::vector<Decision>& to) {
    const TableColumns& columns = *table.plan.table;
    const bool text = data.layout.has_value();
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
        return note.code == "decimal-doubtful" && note.doubt && note.sheet == table.sheet;
    });
    to.push_back({"decimal mark",
                  table.sheet,
                  open   ? std::string()
                  : same ? std::string(1, mark)
                         : "by column",
                  options.decimal.has_value(),
                  {},
                  1,
                  {},
                  open ? "--decimal . or --decimal ," : fmt::format("--decimal {}", mark)});
    if (table.plan.time)
        to.push_back({"date format",
                      table.sheet,
                      table.date_format,
                      options.date_format.has_value(),
                      table.date_proof,
                      1,
                      {},
                      table.date_format.empty() ? "--date-format dmy, mdy, serial1900 or serial1904"
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
                      "--assume-basis as-is"});
}

ColumnMeaning number_meaning(const TableData& table, std::size_t index,
                             const ConstituentTable& constituents) {
    const Column& column = table.plan.table->numbers[index];
    ColumnMeaning meaning;
    meaning.position = column.position;
    meaning.heading = column.heading;
    meaning.meaning = constituents[column.constituent].name;
    meaning.unit = column.unit.empty() ? constituents[column.constituent].unit : column.unit;
    meaning.part_of = to_text(column.part_of);
    meaning.basis = column.part_of == PartOf::sample ? to_text(column.basis) : std::string();
    const NumberStyle style = table.styles[index];
    meaning.decimal = style.grouping == '\0' ? std::string(1, style.mark)
                                             : fmt::format("{} (thousands {})", style.mark, style.grouping);
    meaning.rules =
        fmt::format("\"{}\": {{ \"headings\": [\"{}\"]{}{} }}", meaning.meaning, meaning.heading,
                    meaning.part_of.empty() ? "" : fmt::format(", \"part_of\": \"{}\"", meaning.part_of),
                    meaning.basis.empty() ? "" : fmt::format(", \"basis\": \"{}\"", meaning.basis));
    return meaning;
}

TableInspection inspect_table(const TableData& table, const ConstituentTable& constituents) {
    TableInspection inspection;
    inspection.sheet = table.sheet;
    inspection.heading_line = table.plan.table->heading_line;
    for (const Part& part : table.parts)
        inspection.readings += part.rows();
    for (std::size_t i = 0; i < table.plan.numbers.size(); ++i)
        inspection.columns.push_back(number_meaning(table, i, constituents));
    const auto add = [&](std::uint32_t position, std::string meaning) {
        ColumnMeaning column;
        column.position = position;
        column.heading = table.plan.table->headings[position];
        if (!meaning.empty())
            column.rules = fmt::format("\"{}\": {{ \"headings\": [\"{}\"] }}", meaning, column.heading);
        column.meaning = std::move(meaning);
        inspection.columns.push_back(std::move(column));
    };
    for (const auto& [field, position] : table.plan.texts)
        add(position, std::string(field_info(field).name));
    if (table.plan.time)
        add(*table.plan.time, "time");
    if (table.plan.clock)
        add(*table.plan.clock, "time");
    for (std::uint32_t i = 0; i < table.plan.table->headings.size(); ++i)
        if (std::none_of(inspection.columns.begin(), inspection.columns.end(),
                         [&](const ColumnMeaning& c) { return c.position == i; }))
            add(i, {});
    std::sort(inspection.columns.begin(), inspection.columns.end(),
              [](const ColumnMeaning& a, const ColumnMeaning& b) { return a.position < b.position; });
    return inspection;
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
    layout_decisions(data, options, inspection.decisions);
    for (const TableData& one : data.tables) {
        table_decisions(data, one, options, inspection.decisions);
        inspection.tables.push_back(inspect_table(one, table));
    }
    std::vector<std::string> seen;
    for (const Decision& decision : inspection.decisions)
        if (!decision.option.empty() && !decision.chosen.empty() && decision.chosen != "by column" &&
            std::find(seen.begin(), seen.end(), decision.what) == seen.end()) {
            seen.push_back(decision.what);
            inspection.options += (inspection.options.empty() ? "" : " ") + decision.option;
        }
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

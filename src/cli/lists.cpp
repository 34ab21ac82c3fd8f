#include "cli/lists.hpp"

#include "cli/file_source.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <thresh/batch/list_reader.hpp>
#include <thresh/core/utf8.hpp>
#include <thresh/intake/list_table.hpp>

namespace thresh::cli {

namespace {

Result<intake::ListTable> read_table(const std::string& path, const std::vector<batch::ListHeading>& headings,
                                     const std::vector<std::string>& required,
                                     const intake::ExportOptions& exports, const OwnHeadings& own,
                                     std::vector<IntakeNote>& notes,
                                     const ConstituentTable* numbers = nullptr) {
    auto bytes = path == "-" ? read_standard_input() : open_file(path);
    if (!bytes)
        return tl::unexpected(bytes.error());
    std::vector<intake::ListColumn> columns;
    for (const batch::ListHeading& heading : headings)
        columns.push_back({std::string(heading.name), heading.headings});
    for (intake::ListColumn& column : columns)
        if (const auto at = own.find(column.name); at != own.end() && !at->second.empty()) {
            column.headings.insert(column.headings.begin(), column.name); // behind the own ones
            column.headings.insert(column.headings.begin(), at->second.begin(), at->second.end());
        }
    // Overrides are about the exports, not about the lists.
    intake::ExportOptions options;
    options.threads = exports.threads;
    const std::string source = valid_utf8(path);
    auto table = intake::read_list({source, *bytes, {}}, columns, required, options);
    if (!table)
        return table;
    intake::note_unused_columns(*table, columns, exports, numbers);
    for (IntakeNote& note : table->notes) {
        note.list = source;
        notes.push_back(std::move(note));
    }
    return table;
}

std::string in_words(const IntakeNote& note) {
    return fmt::format("{}{}: {} ({})", note.list, note.line > 0 ? fmt::format(":{}", note.line) : "",
                       note.message, note.help);
}

bool about_heading(const IntakeNote& note) {
    return note.code == "heading-unknown" || note.code == "heading-repeated";
}

std::vector<batch::TextRow> text_rows(const intake::ListTable& table) {
    std::vector<batch::TextRow> rows;
    rows.reserve(table.rows.size());
    for (std::size_t r = 0; r < table.rows.size(); ++r)
        rows.push_back({table.rows[r].line, table.rows[r].sheet,
                        [&table, r](std::size_t known) { return table.cell(r, known); },
                        [&table](std::size_t known) {
                            return table.known[known] ? static_cast<std::uint32_t>(*table.known[known] + 1)
                                                      : 0U;
                        }});
    return rows;
}

} // namespace

Result<batch::SampleList> read_sample_list(const Settings& settings, const intake::ExportOptions& options,
                                           const rules::Ruleset& rules, std::vector<IntakeNote>& notes) {
    if (!settings.samples)
        return batch::SampleList{};
    const auto table = read_table(*settings.samples, batch::sample_list_headings(), {"sample"}, options,
                                  rules.list_headings, notes);
    if (!table)
        return tl::unexpected(table.error());
    auto list = batch::make_sample_list(
        *settings.samples, text_rows(*table),
        [&](std::size_t known) { return table->known[known].has_value(); }, &rules.batch);
    if (list)
        std::ranges::move(batch::shared_plots(*list), std::back_inserter(notes));
    return list;
}

Result<std::vector<batch::Decision>> read_decisions(const Settings& settings,
                                                    const intake::ExportOptions& options,
                                                    const OwnHeadings& own, std::vector<IntakeNote>& notes) {
    if (!settings.decisions)
        return std::vector<batch::Decision>{};
    const auto table =
        read_table(*settings.decisions, batch::decision_headings(), {"decision"}, options, own, notes);
    if (!table)
        return tl::unexpected(table.error());
    return batch::make_decisions(*settings.decisions, text_rows(*table));
}

Result<batch::ReferenceResults> read_reference(const Settings& settings, const intake::ExportOptions& options,
                                               const ConstituentTable& constituents, const OwnHeadings& own) {
    if (!settings.reference)
        return fail("no reference results are named", "name their file with --reference FILE");
    if (*settings.reference == "-")
        return fail("reference results cannot come from standard input", "name a file with --reference");
    std::vector<IntakeNote> notes; // but for those on headings told when its numbers are read
    const auto table = read_table(*settings.reference, batch::reference_headings(), {"sample"}, options, own,
                                  notes, &constituents);
    if (!table)
        return tl::unexpected(table.error());
    auto bytes = open_file(*settings.reference);
    if (!bytes)
        return tl::unexpected(bytes.error());
    intake::ExportOptions as_numbers; // overrides are about the exports
    as_numbers.columns = options.columns;
    as_numbers.threads = options.threads;
    // The heading row is settled, and so is which column holds the samples.
    as_numbers.header_row = table->heading_line;
    if (const auto& position = table->known[0]) {
        ColumnRule samples;
        samples.headings = {table->columns[*position]};
        samples.field = TextField::sample;
        as_numbers.columns.insert(as_numbers.columns.begin(), samples);
    }
    const Readings numbers =
        intake::read_exports({{*settings.reference, *bytes, {}}}, constituents, as_numbers);
    auto reference = batch::make_reference(numbers, text_rows(*table));
    for (const IntakeNote& note : notes)
        if (reference && about_heading(note) && (note.doubt || settings.verbose))
            reference->notes.push_back(in_words(note));
    if (!reference || !settings.key)
        return reference;
    notes.clear();
    const auto key_table =
        read_table(*settings.key, batch::shipment_key_headings(), {"code", "sample"}, options, own, notes);
    if (!key_table)
        return tl::unexpected(key_table.error());
    for (const IntakeNote& note : notes)
        if (!about_heading(note) || note.doubt || settings.verbose)
            reference->notes.push_back(in_words(note));
    const auto key = batch::make_shipment_key(*settings.key, text_rows(*key_table));
    if (!key)
        return tl::unexpected(key.error());
    batch::open_codes(*key, *reference);
    return reference;
}

} // namespace thresh::cli

// Small files are read side by side, one thread each; a big file by all threads together, one after another.
#include "intake/read_exports.hpp"

#include "intake/assemble.hpp"
#include "intake/read_text.hpp"
#include "intake/read_workbook.hpp"
#include "intake/settle.hpp"
#include "intake/source_text.hpp"
#include <thresh/core/parallel.hpp>
#include <thresh/core/shares.hpp>
#include <thresh/intake/inspect.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

FileData refused(const Input& input, Error error) {
    FileData data;
    data.info.source = input.source;
    data.info.refused = true;
    data.info.refusal = std::move(error);
    data.info.refusal.file = input.source;
    return data;
}

// Values that no mean can take, because the season states the constituent as a share of something else: told
// once for each heading row, with how many readings stand below it and below its likes in other files.
void note_other_shares(Readings& readings, const ConstituentTable& constituents) {
    const std::vector<PartOf> in_results = shares_in_results(readings, constituents);
    std::vector<std::pair<const Block*, std::size_t>> tables; // the first block of each, and its readings
    for (const Block& block : readings.blocks) {
        const auto known =
            std::ranges::find(tables, block.table, [](const auto& table) { return table.first->table; });
        if (known == tables.end())
            tables.emplace_back(&block, block.rows);
        else
            known->second += block.rows;
    }
    for (const auto& [block, rows] : tables)
        for (const Column& column : block->table->numbers) {
            const PartOf wanted = in_results[column.constituent];
            if (column.part_of == wanted || constituents[column.constituent].group == Group::instrument)
                continue;
            IntakeNote note;
            note.code = "share-differs";
            note.file = block->file;
            note.sheet = block->sheet;
            note.line = block->table->heading_line;
            note.column = column.position + 1;
            note.heading = column.heading;
            note.constituent = column.constituent;
            note.doubt = true;
            note.message =
                fmt::format("`{}` is a share of the {} here, of the {} elsewhere in these exports: "
                            "its values in {} enter no result",
                            column.heading, to_text(column.part_of), to_text(wanted),
                            rows == 1 ? "1 reading" : fmt::format("{} readings", rows));
            note.help = "run these exports apart from the others, or export the same share everywhere";
            readings.notes.push_back(std::move(note));
        }
}

} // namespace

FileData read_input(const Input& input, const HeadingDictionary& dictionary, const ExportOptions& options,
                    const ReadSettings& settings, std::vector<Pools>& pools, std::size_t first,
                    unsigned threads) {
    if (!input.bytes)
        return refused(input, input.error);
    const ReadContext context{dictionary, options, settings};
    const Input kept{input.source, std::make_shared<TopKept>(input.bytes, kHeadBytes), {}};
    FileData data = is_workbook(kept) ? read_workbook(kept, context, pools, first)
                                      : read_text(kept, context, pools, first, threads);
    for (TableData& table : data.tables)
        settle_table(table, dictionary.table(), options, data.notes);
    return data;
}

Readings read_exports(std::vector<Input> inputs, const ConstituentTable& table, const ExportOptions& options,
                      const ReadSettings& settings) {
    std::stable_sort(inputs.begin(), inputs.end(),
                     [](const Input& a, const Input& b) { return a.source < b.source; });
    const HeadingDictionary dictionary(table, options.columns);
    const unsigned threads = std::max(1U, options.threads);
    std::vector<Pools> pools(threads);
    std::vector<FileData> files(inputs.size());
    std::vector<std::size_t> small, big;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        const bool pieces = inputs[i].bytes && inputs[i].bytes->size() > settings.chunk_bytes;
        (pieces && threads > 1 ? big : small).push_back(i);
    }
    parallel_for_threads(small.size(), threads, [&](std::size_t n, std::size_t thread) {
        files[small[n]] = read_input(inputs[small[n]], dictionary, options, settings, pools, thread, 1);
    });
    for (const std::size_t i : big)
        files[i] = read_input(inputs[i], dictionary, options, settings, pools, 0, threads);
    Readings readings = assemble(std::move(files), std::move(pools), threads);
    note_other_shares(readings, table);
    return readings;
}

Readings read_exports(std::vector<Input> inputs, const ConstituentTable& table,
                      const ExportOptions& options) {
    return read_exports(std::move(inputs), table, options, ReadSettings{});
}

} // namespace thresh::intake

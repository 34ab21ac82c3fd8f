// Small files are read side by side, one thread each; a big file by all threads together, one after another.
#include "intake/read_exports.hpp"

#include "intake/assemble.hpp"
#include "intake/read_text.hpp"
#include "intake/read_workbook.hpp"
#include "intake/settle.hpp"
#include "intake/source_text.hpp"
#include <thresh/core/parallel.hpp>

#include <algorithm>

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
    return assemble(std::move(files), std::move(pools), threads);
}

Readings read_exports(std::vector<Input> inputs, const ConstituentTable& table,
                      const ExportOptions& options) {
    return read_exports(std::move(inputs), table, options, ReadSettings{});
}

} // namespace thresh::intake

// Which readings a decision is about. Renames look at IDs as exported and act before anything else, in file
// order, the first that fits a reading; keep and drop look at the IDs after that, as the tables show them.
// One pass over the rows, in which only decisions that could fit a row's ID or file are tried.
#include "batch/stages.hpp"

#include "batch/case_matcher.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <thresh/batch/decision_places.hpp>

namespace thresh::batch {

namespace {

// The file that `name` means: a source as in the tables, with or without [sheet], or the end of just one
// source's path. kNone when there is none or it could be several.
std::uint32_t file_named(const Readings& readings, std::string_view name) {
    std::uint32_t by_end = kNone;
    std::size_t ends = 0;
    for (std::uint32_t f = 0; f < readings.files.size(); ++f) {
        const std::string_view source = readings.files[f].source;
        if (source == name)
            return f;
        if (source.size() > name.size() && source.ends_with(name) &&
            source[source.size() - name.size() - 1] == '/') {
            by_end = f;
            ++ends;
        }
    }
    return ends == 1 ? by_end : kNone;
}

struct NamedPlace {
    std::uint32_t file = kNone;
    std::string_view sheet; // empty: any
};

NamedPlace place_named(const Readings& readings, std::string_view name) {
    if (const std::uint32_t file = file_named(readings, name); file != kNone)
        return {file, {}};
    const auto bracket = name.rfind('[');
    if (!name.ends_with(']') || bracket == std::string_view::npos)
        return {};
    return {file_named(readings, name.substr(0, bracket)),
            name.substr(bracket + 1, name.size() - bracket - 2)};
}

// Whether a reading's time is the decision's, at the decision's precision.
bool same_time(Time wanted, Time time) {
    if (time.precision() < wanted.precision())
        return false;
    const TimeWindow window{wanted, wanted};
    return window.admits(time);
}

// Calls found(decision, row) for every decision of the wanted kind and every row that it fits, rows in
// canonical order, decisions in file order within a row.
template <typename Found>
void match_rows(const Batch& batch, bool renames, const Found& found) {
    const Readings& readings = batch.readings;
    const TextPool& ids = readings.pool(TextField::sample);
    std::vector<NamedPlace> places(batch.decisions.size());
    std::vector<std::vector<std::uint32_t>> by_sample, by_file(readings.files.size());
    std::vector<std::uint32_t> anywhere;
    for (std::uint32_t d = 0; d < batch.decisions.size(); ++d) {
        const Decision& decision = batch.decisions[d];
        if ((decision.action == Decision::Action::rename) != renames)
            continue;
        if (!decision.source.empty()) {
            places[d] = place_named(readings, decision.source);
            if (places[d].file == kNone)
                continue; // fits nothing
        }
        if (!decision.sample.empty()) {
            if (const TextId id = ids.find(decision.sample); id != kNoText) {
                by_sample.resize(ids.size());
                by_sample[id].push_back(d);
            }
        } else if (!decision.source.empty()) {
            by_file[places[d].file].push_back(d);
        } else if (!decision.time.missing()) {
            anywhere.push_back(d);
        }
    }
    const auto fits = [&](std::uint32_t d, const Block& block, std::size_t r) {
        const Decision& decision = batch.decisions[d];
        if (places[d].file != kNone && places[d].file != block.file)
            return false;
        if (!places[d].sheet.empty() && places[d].sheet != block.sheet)
            return false;
        return (!decision.row || *decision.row == block.line[r]) &&
               (decision.time.missing() || same_time(decision.time, block.time_of(r)));
    };
    std::vector<std::uint32_t> candidates;
    for (const Block& block : readings.blocks) {
        if (by_sample.empty() && anywhere.empty() && by_file[block.file].empty())
            continue;
        for (std::size_t r = 0; r < block.rows; ++r) {
            const TextId id = block.text_of(TextField::sample, r);
            candidates = anywhere;
            candidates.insert(candidates.end(), by_file[block.file].begin(), by_file[block.file].end());
            if (!by_sample.empty() && id != kNoText)
                candidates.insert(candidates.end(), by_sample[id].begin(), by_sample[id].end());
            std::ranges::sort(candidates);
            for (const std::uint32_t d : candidates)
                if (fits(d, block, r))
                    found(d, static_cast<RowId>(block.first + r));
        }
    }
}

} // namespace

Result<void> check_places(const std::string& source, const std::vector<Decision>& decisions,
                          const Readings& readings) {
    const TextPool& ids = readings.pool(TextField::sample);
    for (const Decision& decision : decisions) {
        const NamedPlace place = decision.row ? place_named(readings, decision.source) : NamedPlace{};
        if (place.file == kNone || !place.sheet.empty())
            continue;
        std::vector<std::string> sheets;
        for (const Block& block : readings.blocks) {
            if (block.file != place.file || block.sheet.empty() ||
                std::ranges::find(sheets, block.sheet) != sheets.end())
                continue;
            for (std::size_t r = 0; r < block.rows; ++r) {
                const TextId id = block.text_of(TextField::sample, r);
                if (block.line[r] == *decision.row &&
                    (decision.sample.empty() || (id != kNoText && ids[id] == decision.sample)) &&
                    (decision.time.missing() || same_time(decision.time, block.time_of(r)))) {
                    sheets.push_back(block.sheet);
                    break;
                }
            }
        }
        if (sheets.size() > 1)
            return fail(fmt::format("row {} of `{}` is a reading on sheet `{}` and on sheet `{}`",
                                    *decision.row, decision.source, sheets[0], sheets[1]),
                        fmt::format("name the sheet as the tables do: `{}[{}]`", decision.source, sheets[0]),
                        source, decision.row_line);
    }
    return {};
}

void rename_samples(Batch& batch) {
    std::vector<std::pair<RowId, std::uint32_t>> changes; // row, decision
    match_rows(batch, true, [&](std::uint32_t d, RowId row) {
        if (!changes.empty() && changes.back().first == row)
            return; // an earlier decision holds
        changes.emplace_back(row, d);
        batch.targets[d].rows.push_back(row);
    });
    if (changes.empty())
        return;
    Readings& readings = batch.readings;
    TextPool& ids = readings.pools[static_cast<std::size_t>(TextField::sample)];
    const std::size_t known = ids.size();
    for (const auto& [row, d] : changes) {
        Block& block =
            readings.blocks[static_cast<std::size_t>(&batch.block_of(row) - readings.blocks.data())];
        auto& column = block.text[static_cast<std::size_t>(TextField::sample)];
        if (column.empty())
            column.assign(block.rows, kNoText); // an export without a column of sample IDs
        column.set(row - block.first, ids.intern(batch.decisions[d].to));
    }
    if (ids.size() == known)
        return;
    const std::vector<TextId> renumbered = ids.sort_bytewise();
    for (Block& block : readings.blocks)
        block.text[static_cast<std::size_t>(TextField::sample)].renumber(
            [&](TextId id) { return renumbered[id]; });
}

void find_target_rows(Batch& batch) {
    match_rows(batch, false, [&](std::uint32_t d, RowId row) { batch.targets[d].rows.push_back(row); });
}

void find_targets(Batch& batch) {
    for (std::uint32_t d = 0; d < batch.decisions.size(); ++d) {
        const Decision& decision = batch.decisions[d];
        if (decision.action == Decision::Action::rename)
            continue;
        // A keep of a finding about a file names the file, and perhaps where the finding stands.
        if (decision.time.missing() && !decision.source.empty() &&
            (decision.action == Decision::Action::keep && !decision.code.empty()))
            batch.targets[d].file = place_named(batch.readings, decision.source).file;
        if (!decision.sample.empty()) {
            const auto at =
                std::ranges::lower_bound(batch.samples, std::string_view(decision.sample), {}, &Sample::id);
            // A sample as such, when nothing narrows it down to a reading.
            if (at != batch.samples.end() && at->id == decision.sample && decision.source.empty() &&
                decision.time.missing())
                batch.targets[d].sample = static_cast<std::uint32_t>(at - batch.samples.begin());
        }
    }
}

} // namespace thresh::batch

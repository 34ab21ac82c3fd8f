// Who drops one of two rows that are one reading with different values says that the other one counts; who
// drops a reading that was exported twice with the same values drops the reading. So of rows that are one
// reading those dropped, and with them all that are the same as they, leave the others to themselves. Files
// predicted again are left alone: there a reading is dropped, not its prediction, and whole files are chosen.
#include "batch/stages.hpp"

#include "batch/same_reading.hpp"

#include <algorithm>
#include <map>
#include <set>

namespace thresh::batch {

namespace {

// Rows dropped as a whole, in order.
std::vector<RowId> dropped_rows(const Batch& batch) {
    std::vector<RowId> rows;
    for (std::size_t d = 0; d < batch.decisions.size(); ++d)
        if (batch.decisions[d].action == Decision::Action::drop && batch.decisions[d].constituent.empty())
            rows.insert(rows.end(), batch.targets[d].rows.begin(), batch.targets[d].rows.end());
    std::ranges::sort(rows);
    return rows;
}

// One reading, and no value hangs on which of the two rows counts.
bool interchangeable(const Comparison& compared) {
    return compared.sameness == Sameness::same && !(compared.first_has_more && compared.second_has_more);
}

// Moves to `dropped` those of `others` that are the same as one that is dropped.
void follow(ReadingComparer& comparer, std::vector<RowId>& others, std::vector<RowId>& dropped) {
    for (std::size_t d = 0; d < dropped.size(); ++d)
        for (std::size_t o = 0; o < others.size();) {
            if (!interchangeable(comparer.compare(dropped[d], others[o]))) {
                ++o;
                continue;
            }
            dropped.push_back(others[o]);
            others.erase(others.begin() + static_cast<std::ptrdiff_t>(o));
        }
}

// Finds repeats among a few rows anew. Of `settled` rows each counts that differs from the others.
void find_among(Batch& batch, ReadingComparer& comparer, std::vector<RowId> rows, bool settled) {
    std::ranges::sort(rows);
    std::ranges::stable_sort(rows, std::ranges::greater(), [&](RowId row) { return comparer.shown(row); });
    std::vector<RowId> standing;
    for (const RowId row : rows) {
        const auto repeats = [&](RowId first) {
            const Comparison compared = comparer.compare(first, row);
            if (settled ? !interchangeable(compared) : compared.sameness == Sameness::different)
                return false;
            batch.repeats.push_back({row, first, compared.sameness == Sameness::changed});
            return true;
        };
        if (std::ranges::none_of(standing, repeats))
            standing.push_back(row);
    }
}

} // namespace

bool let_others_count(Batch& batch, ReadingComparer& comparer) {
    const std::vector<RowId> dropped = dropped_rows(batch);
    if (dropped.empty())
        return false;
    const auto is_dropped = [&](RowId row) { return std::ranges::binary_search(dropped, row); };
    std::set<std::pair<std::uint32_t, std::uint32_t>> again;
    for (const Overlap& overlap : batch.overlaps)
        if (overlap.predicted_again())
            again.emplace(overlap.first_file, overlap.file);
    std::map<RowId, std::vector<RowId>> readings; // rows of one reading that somebody dropped, by the first
    for (const Repeat& repeat : batch.repeats)
        if (batch.kind[repeat.first] == Kind::seed && (is_dropped(repeat.first) || is_dropped(repeat.row)))
            readings[repeat.first] = {repeat.first};
    for (const Repeat& repeat : batch.repeats)
        if (const auto at = readings.find(repeat.first); at != readings.end())
            at->second.push_back(repeat.row);
    for (const Repeat& repeat : batch.repeats)
        if (repeat.changed &&
            again.contains({batch.block_of(repeat.first).file, batch.block_of(repeat.row).file}))
            readings.erase(repeat.first);
    if (readings.empty())
        return false;

    std::erase_if(batch.repeats, [&](const Repeat& repeat) { return readings.contains(repeat.first); });
    const std::size_t kept = batch.repeats.size();
    for (const auto& [first, rows] : readings) {
        std::vector<RowId> gone, others;
        for (const RowId row : rows) {
            batch.kind[row] = Kind::seed; // as `first`: other kinds are never one reading
            (is_dropped(row) ? gone : others).push_back(row);
        }
        follow(comparer, others, gone);
        find_among(batch, comparer, std::move(others), false);
        find_among(batch, comparer, std::move(gone), true);
    }
    for (std::size_t i = kept; i < batch.repeats.size(); ++i)
        batch.kind[batch.repeats[i].row] = Kind::repeated;
    std::ranges::sort(batch.repeats, {}, &Repeat::row);
    return true;
}

} // namespace thresh::batch

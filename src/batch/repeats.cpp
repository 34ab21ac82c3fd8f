// Repeats are looked for sample by sample. Mostly a sample was read now and again, minutes apart, and its
// keys of time show that no reading repeats another. Else, as a sample has few readings, they are compared in
// pairs, and the keys refuse nearly all pairs without touching the rows. IDs with many readings (controls,
// blank) are ordered by minute first; within one minute, or without times, very many are ordered by the hash
// of their values, where repeats that show other decimals are not recognised. Readings are looked at in
// canonical order; where it turns out that one shows more than another, once more, with those that show most
// first, so that no name of a file decides whether a row that was cut off counts.
#include "batch/stages.hpp"

#include "batch/same_reading.hpp"
#include "batch/time_key.hpp"

#include <algorithm>
#include <numeric>
#include <span>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

namespace {

constexpr std::size_t kFew = 32;       // compared in pairs at once
constexpr std::size_t kManyAlike = 64; // of one minute or without time: by hash of values
constexpr std::size_t kLookBack = 32;  // there: standing readings that a row is compared with

struct Found {
    const SampleGroups& groups;
    ReadingComparer comparer;
    std::vector<Repeat> repeats;
    bool uneven = false;              // since last cleared: one of two rows of a reading shows more
    std::vector<std::uint32_t> alike; // room for positions
};

// Compares position `at` with the standing readings among `standing`, earliest first; adds it to them when it
// repeats none.
void place(Found& found, std::vector<std::uint32_t>& standing, std::size_t from, std::uint32_t at) {
    for (std::size_t s = from; s < standing.size(); ++s) {
        const std::uint32_t earlier = standing[s];
        if (!may_meet(found.groups.time_key[earlier], found.groups.time_key[at]))
            continue;
        const RowId first = found.groups.rows[earlier], row = found.groups.rows[at];
        const Comparison compared = found.comparer.compare(first, row);
        if (compared.sameness == Sameness::different)
            continue;
        found.uneven = found.uneven || compared.uneven;
        found.repeats.push_back({row, first, compared.sameness == Sameness::changed});
        return;
    }
    standing.push_back(at);
}

// Places all of `alike`, which is in canonical order.
void place_all(Found& found, std::span<const std::uint32_t> alike, std::vector<std::uint32_t>& standing) {
    const std::size_t before = found.repeats.size();
    found.uneven = false;
    standing.clear();
    for (const std::uint32_t at : alike)
        place(found, standing, 0, at);
    if (!found.uneven) [[likely]]
        return;
    std::vector<std::pair<Shown, std::uint32_t>> order;
    for (const std::uint32_t at : alike)
        order.emplace_back(found.comparer.shown(found.groups.rows[at]), at);
    std::ranges::stable_sort(order, std::ranges::greater(), &std::pair<Shown, std::uint32_t>::first);
    found.repeats.resize(before);
    standing.clear();
    for (const auto& [shown, at] : order)
        place(found, standing, 0, at);
}

// `alike`: positions of one minute or without time, in canonical order.
void search_many(Found& found, std::span<const std::uint32_t> alike, std::vector<std::uint32_t>& standing) {
    std::vector<std::pair<std::uint64_t, std::uint32_t>> by_hash;
    by_hash.reserve(alike.size());
    for (const std::uint32_t at : alike)
        by_hash.emplace_back(found.comparer.values_hash(found.groups.rows[at]), at);
    std::ranges::sort(by_hash);
    for (std::size_t i = 0; i < by_hash.size(); ++i) {
        if (i == 0 || by_hash[i].first != by_hash[i - 1].first)
            standing.clear();
        place(found, standing, standing.size() > kLookBack ? standing.size() - kLookBack : 0,
              by_hash[i].second);
    }
}

void search_group(const Batch& batch, Found& found, std::uint32_t begin, std::uint32_t end,
                  std::vector<std::uint32_t>& standing) {
    const auto counts = [&](std::uint32_t at) { return batch.kind[found.groups.rows[at]] != Kind::ignored; };
    std::vector<std::uint32_t>& order = found.alike;
    order.clear();
    for (std::uint32_t at = begin; at < end; ++at)
        if (counts(at))
            order.push_back(at);
    if (end - begin <= kFew) {
        place_all(found, order, standing);
        return;
    }
    const auto minute = [&](std::uint32_t at) { return minute_of_key(found.groups.time_key[at]); };
    std::ranges::stable_sort(order, {}, minute);
    for (std::size_t i = 0; i < order.size();) {
        std::size_t j = i + 1;
        while (j < order.size() && minute(order[j]) == minute(order[i]))
            ++j;
        const std::span alike = std::span(order).subspan(i, j - i);
        if (alike.size() > kManyAlike)
            search_many(found, alike, standing);
        else
            place_all(found, alike, standing);
        i = j;
    }
}

// Calls visit(group) for those of the groups from `first` to before `last` whose readings do not come one
// after another at least a minute apart. Nearly all do, and one sample has two readings, the next five: no
// one can foresee a jump on that, so there is none.
template <typename Visit>
void for_each_close(const SampleGroups& groups, std::size_t first, std::size_t last, const Visit& visit) {
    const auto begin = std::span(groups.begin);
    const std::size_t offset = begin[first];
    const auto keys = std::span(groups.time_key).subspan(offset, begin[last] - offset);
    std::vector<std::uint8_t> close(keys.size() + 1, 0); // to the reading before; a further one for the end
    for (std::size_t i = 1; i < keys.size(); ++i)
        close[i] = !apart(keys[i - 1], keys[i]);
    for (const std::uint32_t at : begin.subspan(first, last - first))
        close[at - offset] = 0; // the one before is of another group
    for (std::size_t i = 0, g = first; i < keys.size(); ++i) {
        i = static_cast<std::size_t>(
            std::find(close.begin() + static_cast<std::ptrdiff_t>(i), close.end(), 1) - close.begin());
        if (i >= keys.size())
            return;
        g = static_cast<std::size_t>(std::ranges::upper_bound(begin.subspan(g, last - g), offset + i) -
                                     begin.begin()) -
            1;
        visit(g);
        i = begin[g + 1] - offset - 1;
    }
}

// Calibrations of changed readings while they are all one; `seen` counts them.
TextId one_calibration(TextId so_far, TextId next, std::uint32_t seen) {
    return seen == 0 || so_far == next ? next : kNoText;
}

std::vector<Overlap> overlaps_of(const Batch& batch) {
    std::vector<Overlap> overlaps;
    std::vector<std::pair<std::uint64_t, std::size_t>> by_files; // files of repeat i
    for (std::size_t i = 0; i < batch.repeats.size(); ++i) {
        const std::uint64_t first = batch.block_of(batch.repeats[i].first).file;
        by_files.emplace_back(first << 32 | batch.block_of(batch.repeats[i].row).file, i);
    }
    std::ranges::sort(by_files);
    for (const auto& [files, i] : by_files) {
        const auto first_file = static_cast<std::uint32_t>(files >> 32),
                   file = static_cast<std::uint32_t>(files);
        if (overlaps.empty() || overlaps.back().first_file != first_file || overlaps.back().file != file) {
            overlaps.emplace_back();
            overlaps.back().first_file = first_file;
            overlaps.back().file = file;
        }
        Overlap& overlap = overlaps.back();
        ++overlap.repeated;
        const Repeat& repeat = batch.repeats[i];
        if (!repeat.changed)
            continue;
        const auto calibration = [&](RowId row) {
            return batch.block_of(row).text_of(TextField::calibration, batch.in_block(row));
        };
        overlap.first_calibration =
            one_calibration(overlap.first_calibration, calibration(repeat.first), overlap.changed);
        overlap.calibration = one_calibration(overlap.calibration, calibration(repeat.row), overlap.changed);
        ++overlap.changed;
    }
    return overlaps;
}

} // namespace

void find_repeats(Batch& batch, const SampleGroups& groups, unsigned threads) {
    const std::vector<Time::Precision> precision = shown_precision(batch.readings);
    // Pieces of about as many rows, at group bounds; their number does not depend on the threads.
    constexpr std::size_t kPieceRows = 16384;
    std::vector<std::size_t> bounds = {0};
    const std::size_t count = groups.begin.size() - 1;
    for (std::size_t g = 1; g < count; ++g)
        if (groups.begin[g] - groups.begin[bounds.back()] >= kPieceRows)
            bounds.push_back(g);
    bounds.push_back(count);

    std::vector<std::vector<Repeat>> parts(bounds.size() - 1);
    parallel_for(parts.size(), threads, [&](std::size_t p) {
        Found found{groups, ReadingComparer(batch, precision), {}, false, {}};
        std::vector<std::uint32_t> standing;
        for_each_close(groups, bounds[p], bounds[p + 1], [&](std::size_t g) {
            search_group(batch, found, groups.begin[g], groups.begin[g + 1], standing);
        });
        parts[p] = std::move(found.repeats);
    });
    for (const std::vector<Repeat>& part : parts)
        batch.repeats.insert(batch.repeats.end(), part.begin(), part.end());
    std::ranges::sort(batch.repeats, {}, &Repeat::row);
    for (const Repeat& repeat : batch.repeats)
        batch.kind[repeat.row] = Kind::repeated;
    ReadingComparer comparer(batch, precision);
    pair_predicted_again(batch, groups, precision, comparer);
    batch.overlaps = overlaps_of(batch);
    let_later_calibration_count(batch);
    batch.overlaps = overlaps_of(batch);
    if (let_others_count(batch, comparer))
        batch.overlaps = overlaps_of(batch);
}

} // namespace thresh::batch

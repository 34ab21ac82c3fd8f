// Rows by sample: a counting sort over the dense ids of the sample pool, one pass to count and one to place.
// Samples are numbered bytewise, so the groups are already in the order of the batch.
#include "batch/stages.hpp"

#include "batch/no_id.hpp"
#include "batch/time_key.hpp"

#include <algorithm>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

namespace {

// Texts among the IDs that are none, by number: their rows belong to nobody, as those with a blank ID do.
std::vector<TextId> ids_that_are_none(const Batch& batch) {
    const TextPool& ids = batch.readings.pool(TextField::sample);
    const auto is_listed = [&](std::string_view text) {
        for (std::uint32_t e = 0; e < batch.list.size(); ++e)
            if (batch.list.text(e, ListText::sample) == text)
                return true;
        return false;
    };
    std::vector<TextId> none;
    for (TextId id = 0; id < ids.size(); ++id) {
        const std::string_view text = ids[id];
        if (!text.empty() && always_begins_an_id(text.front())) { // they stand together: pools are in order
            auto last = id, behind = static_cast<TextId>(ids.size());
            while (behind - last > 1) {
                const TextId middle = last + (behind - last) / 2;
                (ids[middle].substr(0, 1) <= text.substr(0, 1) ? last : behind) = middle;
            }
            id = last;
            continue;
        }
        if (is_no_id(text) || (says_missing(text) && !is_listed(text)))
            none.push_back(id);
    }
    return none;
}

} // namespace

SampleGroups group_by_sample(const Batch& batch) {
    const Readings& readings = batch.readings;
    const std::size_t blank = readings.pool(TextField::sample).size();
    const std::vector<TextId> none = ids_that_are_none(batch); // hardly ever any
    const auto group_of = [&](TextId id) {
        return id == kNoText || (!none.empty() && std::ranges::binary_search(none, id)) ? blank
                                                                                        : std::size_t{id};
    };
    SampleGroups groups;
    std::vector<std::uint32_t>& begin = groups.begin;
    begin.assign(blank + 3, 0); // one place further than needed: counts, then cursors, then begins
    for (const Block& block : readings.blocks) {
        const TextColumn::View id = block.texts(TextField::sample);
        for (std::size_t r = 0; r < block.rows; ++r)
            ++begin[group_of(id[r]) + 2];
    }
    for (std::size_t i = 2; i < begin.size(); ++i)
        begin[i] += begin[i - 1];
    groups.rows.resize(readings.rows);
    groups.time_key.resize(readings.rows);
    // Samples come in any order, so the memory of theirs is asked for some rows ahead.
    constexpr std::size_t kAhead = 16;
    for (const Block& block : readings.blocks) {
        // What is written must not seem to change where columns lie.
        const TextColumn::View id = block.texts(TextField::sample);
        const TimeColumn::View time = block.time.view();
        std::uint32_t* const next = begin.data() + 1;
        RowId* const rows = groups.rows.data();
        std::uint32_t* const keys = groups.time_key.data();
        for (std::size_t r = 0; r < block.rows; ++r) {
            if (r + 2 * kAhead < block.rows) {
                __builtin_prefetch(&next[group_of(id[r + 2 * kAhead])], 1);
                const std::uint32_t at = next[group_of(id[r + kAhead])];
                __builtin_prefetch(rows + at, 1);
                __builtin_prefetch(keys + at, 1);
            }
            const std::uint32_t at = next[group_of(id[r])]++;
            rows[at] = static_cast<RowId>(block.first + r);
            keys[at] = time_key(time[r]);
        }
    }
    begin.pop_back();
    return groups;
}

namespace {

// Finds listed IDs among those read. Most lists are in the order of their IDs, as the pool is: then the next
// one is tried first, and the pool need not be made ready for many look-ups.
class ReadIds {
  public:
    explicit ReadIds(TextPool& ids) : ids_(ids) {}
    TextId find(std::string_view text) {
        if (next_ < ids_.size() && ids_[next_] == text)
            return next_++;
        if (++searched_ == kFew)
            ids_.ready_to_find();
        const TextId id = ids_.find(text);
        if (id != kNoText)
            next_ = id + 1;
        return id;
    }

  private:
    static constexpr std::size_t kFew = 1000;
    TextPool& ids_;
    TextId next_ = 0;
    std::size_t searched_ = 0;
};

// Listed IDs that no reading has, bytewise; fills the entry of every ID that one has.
std::vector<std::uint32_t> unread_entries(Batch& batch, const SampleGroups& groups,
                                          std::vector<std::uint32_t>& entry_of) {
    ReadIds ids(batch.readings.pools[static_cast<std::size_t>(TextField::sample)]);
    const auto id_of = [&](std::uint32_t entry) { return batch.list.text(entry, ListText::sample); };
    std::vector<std::uint32_t> unread;
    for (std::uint32_t e = 0; e < batch.list.size(); ++e) {
        const TextId id = ids.find(id_of(e));
        if (id != kNoText && groups.begin[id] != groups.begin[id + 1])
            entry_of[id] = e;
        else
            unread.push_back(e);
    }
    std::ranges::sort(unread, {}, id_of);
    return unread;
}

void link_duplicates(Batch& batch) {
    if (!batch.list.states(ListText::duplicate_of))
        return;
    for (Sample& sample : batch.samples) {
        const std::string_view original = batch.list.text(sample.entry, ListText::duplicate_of);
        if (original.empty())
            continue;
        const auto at = std::ranges::lower_bound(batch.samples, original, {}, &Sample::id);
        if (at != batch.samples.end() && at->id == original)
            sample.original = static_cast<std::uint32_t>(at - batch.samples.begin());
    }
}

} // namespace

void make_samples(Batch& batch, SampleGroups& groups, unsigned threads) {
    const TextPool& ids = batch.readings.pool(TextField::sample);
    std::vector<std::uint32_t> entry_of, index_of(ids.size(), kNone); // no entries without a list
    if (batch.list.size() > 0)
        entry_of.assign(ids.size(), kNone);
    const std::vector<std::uint32_t> unread = unread_entries(batch, groups, entry_of);
    batch.samples.reserve(ids.size() + unread.size());
    groups.of_sample.reserve(ids.size() + unread.size());
    auto next_unread = unread.begin();
    const auto add = [&](std::string_view id, std::uint32_t entry, std::uint32_t rows) {
        Sample sample;
        sample.id = id;
        sample.entry = entry;
        batch.samples.push_back(sample);
        groups.of_sample.push_back(rows);
    };
    const auto add_unread_before = [&](std::string_view id) {
        for (; next_unread != unread.end() && batch.list.text(*next_unread, ListText::sample) < id;
             ++next_unread)
            add(batch.list.text(*next_unread, ListText::sample), *next_unread, 0);
    };
    for (TextId id = 0; id < ids.size(); ++id) {
        const std::uint32_t rows = groups.begin[id + 1] - groups.begin[id];
        if (rows == 0)
            continue; // of rejected rows only, renamed, or no ID
        add_unread_before(ids[id]);
        index_of[id] = static_cast<std::uint32_t>(batch.samples.size());
        add(ids[id], entry_of.empty() ? kNone : entry_of[id], rows);
    }
    for (; next_unread != unread.end(); ++next_unread)
        add(batch.list.text(*next_unread, ListText::sample), *next_unread, 0);
    link_duplicates(batch);

    static_assert(kNoText == kNone);
    const bool ids_are_indices = batch.samples.size() == ids.size() && unread.empty();
    batch.sample.resize(batch.readings.rows);
    parallel_for(batch.readings.blocks.size(), threads, [&](std::size_t b) {
        const Block& block = batch.readings.blocks[b];
        const TextColumn::View id = block.texts(TextField::sample);
        std::uint32_t* const sample = batch.sample.data() + block.first;
        for (std::size_t r = 0; r < block.rows; ++r)
            sample[r] = id[r] == kNoText || ids_are_indices ? id[r] : index_of[id[r]];
    });
}

namespace {

// By sample: how many of its rows are of another kind than seed.
std::vector<std::uint32_t> rows_not_seed(const Batch& batch) {
    std::vector<std::uint32_t> count(batch.samples.size(), 0);
    constexpr std::size_t kStretch = 64; // looked through at once: most rows are seed
    static_assert(static_cast<int>(Kind::seed) == 0);
    for (std::size_t begin = 0; begin < batch.kind.size(); begin += kStretch) {
        const auto kinds =
            std::span(batch.kind).subspan(begin, std::min(kStretch, batch.kind.size() - begin));
        unsigned any = 0;
        for (const Kind kind : kinds)
            any |= static_cast<unsigned>(kind);
        if (any == 0)
            continue;
        for (std::size_t i = 0; i < kinds.size(); ++i)
            if (const std::uint32_t sample = batch.sample[begin + i];
                kinds[i] != Kind::seed && sample != kNone)
                ++count[sample];
    }
    return count;
}

} // namespace

void list_seed_rows(Batch& batch, SampleGroups groups) {
    // Groups come in the samples' order, blank IDs behind them. Rows move down over those that are left out,
    // a run of samples at a time.
    const std::vector<std::uint32_t> not_seed = rows_not_seed(batch);
    std::vector<RowId>& rows = groups.rows;
    std::size_t run = 0, at = 0, kept = 0; // rows from `run` to `at` are kept and have yet to move
    const auto move_run = [&] {
        if (kept != run)
            std::copy(rows.data() + run, rows.data() + at, rows.data() + kept);
        kept += at - run;
    };
    batch.sample_begin.resize(batch.samples.size() + 1);
    for (std::size_t s = 0; s < batch.samples.size(); ++s) {
        batch.sample_begin[s] = static_cast<std::uint32_t>(kept + (at - run));
        const std::size_t end = at + groups.of_sample[s];
        if (not_seed[s] == 0) {
            at = end;
            continue;
        }
        move_run();
        for (; at < end; ++at)
            if (batch.kind[rows[at]] == Kind::seed)
                rows[kept++] = rows[at];
        run = at;
    }
    move_run();
    batch.sample_begin.back() = static_cast<std::uint32_t>(kept);
    rows.resize(kept);
    batch.sample_rows = std::move(rows);
}

} // namespace thresh::batch

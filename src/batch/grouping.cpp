// Rows by sample: a counting sort over the dense ids of the sample pool, one pass to count and one to place.
// Samples are numbered bytewise, so the groups are already in the order of the batch.
#include "batch/stages.hpp"

#include "batch/time_key.hpp"

#include <algorithm>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

SampleGroups group_by_sample(const Batch& batch) {
    const Readings& readings = batch.readings;
    const std::size_t blank = readings.pool(TextField::sample).size();
    const auto group_of = [&](TextId id) { return id == kNoText ? blank : std::size_t{id}; };
    SampleGroups groups;
    std::vector<std::uint32_t>& begin = groups.begin;
    begin.assign(blank + 3, 0); // one place further than needed: counts, then cursors, then begins
    for (const Block& block : readings.blocks)
        for (std::size_t r = 0; r < block.rows; ++r)
            ++begin[group_of(block.text_of(TextField::sample, r)) + 2];
    for (std::size_t i = 2; i < begin.size(); ++i)
        begin[i] += begin[i - 1];
    groups.rows.resize(readings.rows);
    groups.time_key.resize(readings.rows);
    // Samples come in any order, so the memory of theirs is asked for some rows ahead.
    constexpr std::size_t kAhead = 16;
    for (const Block& block : readings.blocks)
        for (std::size_t r = 0; r < block.rows; ++r) {
            if (r + 2 * kAhead < block.rows) {
                __builtin_prefetch(&begin[group_of(block.text_of(TextField::sample, r + 2 * kAhead)) + 1], 1);
                const std::uint32_t next = begin[group_of(block.text_of(TextField::sample, r + kAhead)) + 1];
                __builtin_prefetch(groups.rows.data() + next, 1);
                __builtin_prefetch(groups.time_key.data() + next, 1);
            }
            const std::uint32_t at = begin[group_of(block.text_of(TextField::sample, r)) + 1]++;
            groups.rows[at] = static_cast<RowId>(block.first + r);
            groups.time_key[at] = time_key(block.time_of(r));
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

void make_samples(Batch& batch, const SampleGroups& groups, unsigned threads) {
    const TextPool& ids = batch.readings.pool(TextField::sample);
    std::vector<std::uint32_t> entry_of(ids.size(), kNone), index_of(ids.size(), kNone);
    const std::vector<std::uint32_t> unread = unread_entries(batch, groups, entry_of);
    batch.samples.reserve(ids.size() + unread.size());
    auto next_unread = unread.begin();
    const auto add = [&](std::string_view id, std::uint32_t entry) {
        Sample sample;
        sample.id = id;
        sample.entry = entry;
        batch.samples.push_back(sample);
    };
    const auto add_unread_before = [&](std::string_view id) {
        for (; next_unread != unread.end() && batch.list.text(*next_unread, ListText::sample) < id;
             ++next_unread)
            add(batch.list.text(*next_unread, ListText::sample), *next_unread);
    };
    for (TextId id = 0; id < ids.size(); ++id) {
        if (groups.begin[id] == groups.begin[id + 1])
            continue; // of rejected rows only, or renamed
        add_unread_before(ids[id]);
        index_of[id] = static_cast<std::uint32_t>(batch.samples.size());
        add(ids[id], entry_of[id]);
    }
    for (; next_unread != unread.end(); ++next_unread)
        add(batch.list.text(*next_unread, ListText::sample), *next_unread);
    link_duplicates(batch);

    batch.sample.resize(batch.readings.rows);
    parallel_for(batch.readings.blocks.size(), threads, [&](std::size_t b) {
        const Block& block = batch.readings.blocks[b];
        for (std::size_t r = 0; r < block.rows; ++r) {
            const TextId id = block.text_of(TextField::sample, r);
            batch.sample[block.first + r] = id == kNoText ? kNone : index_of[id];
        }
    });
}

void list_seed_rows(Batch& batch, SampleGroups groups) {
    // Groups come in the samples' order; samples that were only listed have none.
    const std::size_t named = groups.begin[groups.begin.size() - 2]; // blank IDs stand behind
    std::size_t kept = 0;
    batch.sample_begin.assign(batch.samples.size() + 1, 0);
    constexpr std::size_t kAhead = 32;
    for (std::size_t i = 0; i < named; ++i) {
        if (i + kAhead < named) {
            __builtin_prefetch(&batch.kind[groups.rows[i + kAhead]]);
            __builtin_prefetch(&batch.sample[groups.rows[i + kAhead]]);
        }
        const RowId row = groups.rows[i];
        if (batch.kind[row] != Kind::seed)
            continue;
        groups.rows[kept++] = row;
        ++batch.sample_begin[batch.sample[row] + 1];
    }
    for (std::size_t s = 1; s < batch.sample_begin.size(); ++s)
        batch.sample_begin[s] += batch.sample_begin[s - 1];
    groups.rows.resize(kept);
    batch.sample_rows = std::move(groups.rows);
}

} // namespace thresh::batch

// Texts become 64-bit keys that order as they do (text_keys.hpp), without the beginning that all of them
// share. The keys are cut into stretches of about equal size by some of them, as a sample shows; each stretch
// is sorted digit by digit, and texts whose keys say nothing of their order, long ones mostly, are compared.
// Keys that say all are the texts in other words: then the pool is written from them, in order, and the texts
// that lie anywhere in theirs are not looked at again.
// Where a text stands depends on the texts alone, so neither stretches nor threads show in the result.
#include "core/text_keys.hpp"

#include <algorithm>
#include <array>
#include <memory>
#include <span>
#include <thresh/core/parallel.hpp>
#include <thresh/core/text_pool.hpp>
#include <utility>

namespace thresh {

namespace {

// A text of one of the pools. Not initialised: there are hundreds of thousands.
struct Item {
    std::uint64_t key; // once it is ranked: its rank within the stretch
    std::uint32_t pool;
    TextId id;
};

constexpr std::size_t kStretches = 64; // enough for as many threads; a power of two

constexpr unsigned kDigitBits = 8;
constexpr std::size_t kDigits = 64 / kDigitBits, kBuckets = std::size_t{1} << kDigitBits;

// By digits from the last to the first; digits that are the same in all are passed over.
void sort_by_key(std::span<Item> items, unsigned bits) {
    constexpr std::size_t kFew = 256; // sorted sooner than counted
    if (items.size() < kFew) {
        std::ranges::sort(items, {}, &Item::key);
        return;
    }
    const std::size_t digits = (bits + kDigitBits - 1) / kDigitBits;
    const auto digit = [](std::uint64_t key, std::size_t d) {
        return key >> (d * kDigitBits) & (kBuckets - 1);
    };
    std::array<std::array<std::uint32_t, kBuckets>, kDigits> counts{};
    for (const Item& item : items)
        for (std::size_t d = 0; d < digits; ++d)
            ++counts[d][digit(item.key, d)];
    const auto others = std::make_unique_for_overwrite<Item[]>(items.size());
    std::span<Item> from = items, to(others.get(), items.size());
    for (std::size_t d = 0; d < digits; ++d) {
        std::array<std::uint32_t, kBuckets>& next = counts[d];
        if (next[digit(from.front().key, d)] == items.size())
            continue;
        std::uint32_t before = 0;
        for (std::uint32_t& at : next)
            before += std::exchange(at, before);
        for (const Item& item : from)
            to[next[digit(item.key, d)]++] = item;
        std::swap(from, to);
    }
    if (from.data() != items.data())
        std::ranges::copy(from, items.begin());
}

} // namespace

class TextPool::Merger {
  public:
    Merger(std::span<const TextPool* const> pools, unsigned threads,
           std::vector<std::vector<TextId>>& new_ids)
        : pools_(pools), new_ids_(new_ids) {
        for (const TextPool* const pool : pools)
            texts_ += pool->size();
        constexpr std::size_t kWorthIt = 10000; // texts
        threads_ = texts_ < kWorthIt ? 1 : threads;
    }

    TextPool merge() {
        find_common();
        const KeyMaker maker = make_keys();
        cut();
        const bool tell_all = maker.exact() && longest_ <= common_ + kHeadBytes;
        const bool from_keys = tell_all && common_ == 0;
        parallel_for(stretches_.size(), threads_, [&](std::size_t s) {
            sort_by_key(stretches_[s].items, maker.bits());
            from_keys ? count(stretches_[s], maker) : rank(stretches_[s], tell_all);
        });
        return write([&](const Stretch& stretch, std::size_t first, char* to, TextPool& merged) {
            from_keys ? write_keys(stretch, first, to, maker, merged)
                      : write_texts(stretch, first, to, merged);
        });
    }

  private:
    struct Stretch {
        std::span<Item> items;
        std::size_t texts = 0, bytes = 0; // each text once
    };

    std::string_view text(const Item& item) const { return (*pools_[item.pool])[item.id]; }
    // How long the longest text is, and, where heads do not hold them, how much all have in common.
    void find_common() {
        std::vector<std::size_t> longest(pools_.size(), 0);
        parallel_for(pools_.size(), threads_, [&](std::size_t p) {
            for (TextId id = 0; id < pools_[p]->size(); ++id)
                longest[p] = std::max(longest[p], (*pools_[p])[id].size());
        });
        longest_ = longest.empty() ? 0 : *std::ranges::max_element(longest);
        if (longest_ <= kHeadBytes)
            return;
        const auto* const some =
            *std::ranges::find_if(pools_, [](const TextPool* pool) { return pool->size() > 0; });
        std::vector<std::string_view> common(pools_.size(), (*some)[0]);
        parallel_for(pools_.size(), threads_, [&](std::size_t p) {
            for (TextId id = 0; id < pools_[p]->size(); ++id) {
                const std::string_view other = (*pools_[p])[id];
                if (!other.starts_with(common[p]))
                    common[p] = common[p].substr(
                        0, static_cast<std::size_t>(std::ranges::mismatch(common[p], other).in1 -
                                                    common[p].begin()));
            }
        });
        common_ = std::ranges::min(common, {}, &std::string_view::size).size();
    }

    TextHead head(const TextPool& pool, TextId id) const {
        return head_of(pool[id].substr(common_), pool.bytes_.size() - pool.offsets_[id] - common_);
    }

    KeyMaker make_keys() {
        std::vector<VaryingBits> varying(pools_.size());
        parallel_for(pools_.size(), threads_, [&](std::size_t p) {
            for (TextId id = 0; id < pools_[p]->size(); ++id)
                varying[p].see(head(*pools_[p], id));
        });
        VaryingBits all;
        for (const VaryingBits& one : varying)
            all.see_all_of(one);
        const KeyMaker maker(all);
        all_keys_ = std::make_unique_for_overwrite<std::uint64_t[]>(texts_);
        std::size_t before = 0;
        for (const TextPool* const pool : pools_)
            keys_.emplace_back(all_keys_.get() + std::exchange(before, before + pool->size()), pool->size());
        parallel_for(pools_.size(), threads_, [&](std::size_t p) {
            for (TextId id = 0; id < keys_[p].size(); ++id)
                keys_[p][id] = maker.key(head(*pools_[p], id));
        });
        return maker;
    }

    // The first key of every stretch but the first.
    using Bounds = std::array<std::uint64_t, kStretches - 1>;
    Bounds bounds() const {
        constexpr std::size_t kSeen = 32; // of each stretch
        const std::size_t step = std::max<std::size_t>(1, texts_ / (kStretches * kSeen));
        std::vector<std::uint64_t> seen;
        for (const auto& keys : keys_)
            for (std::size_t i = 0; i < keys.size(); i += step)
                seen.push_back(keys[i]);
        std::ranges::sort(seen);
        Bounds bounds;
        for (std::size_t i = 0; i < bounds.size(); ++i)
            bounds[i] = seen[seen.size() * (i + 1) / kStretches];
        return bounds;
    }
    // How many of the bounds are not above the key. Without jumps: no one can foresee them.
    static std::size_t stretch_of(const Bounds& bounds, std::uint64_t key) {
        std::size_t below = 0;
        for (std::size_t step = kStretches / 2; step > 0; step /= 2)
            below += step * static_cast<std::size_t>(bounds[below + step - 1] <= key);
        return below;
    }

    // Fills the stretches' items; the keys are no longer needed.
    void cut() {
        if (texts_ == 0)
            return;
        const Bounds begins = bounds();
        std::vector<std::vector<std::uint8_t>> stretch(pools_.size());
        std::vector<std::array<std::size_t, kStretches>> next(pools_.size());
        parallel_for(pools_.size(), threads_, [&](std::size_t p) {
            stretch[p].resize(keys_[p].size());
            for (std::size_t i = 0; i < keys_[p].size(); ++i) {
                const std::size_t s = stretch_of(begins, keys_[p][i]);
                stretch[p][i] = static_cast<std::uint8_t>(s);
                ++next[p][s];
            }
        });
        items_ = std::make_unique_for_overwrite<Item[]>(texts_);
        std::size_t items = 0;
        for (std::size_t s = 0; s < kStretches; ++s) {
            const std::size_t begin = items;
            for (auto& of_pool : next)
                items += std::exchange(of_pool[s], items);
            stretches_[s].items = std::span(items_.get() + begin, items - begin);
        }
        parallel_for(pools_.size(), threads_, [&](std::size_t p) {
            for (TextId id = 0; id < keys_[p].size(); ++id) {
                const std::size_t s = stretch[p][id];
                items_[next[p][s]++] = {keys_[p][id], static_cast<std::uint32_t>(p), id};
            }
        });
        all_keys_.reset();
    }

    static bool is_new(std::span<const Item> items, std::size_t i) {
        return i == 0 || items[i].key != items[i - 1].key;
    }
    static void count(Stretch& stretch, const KeyMaker& maker) {
        for (std::size_t i = 0; i < stretch.items.size(); ++i)
            if (is_new(stretch.items, i)) {
                ++stretch.texts;
                stretch.bytes += maker.text_size(stretch.items[i].key);
            }
    }
    // Texts that their keys do not tell apart get into order, then every item gets its rank.
    void rank(Stretch& stretch, bool keys_tell_all) const {
        const std::span<Item> items = stretch.items;
        for (std::size_t i = 0, end = 0; i < items.size(); i = end) {
            end = i + 1;
            while (end < items.size() && items[end].key == items[i].key)
                ++end;
            const std::span alike = items.subspan(i, end - i);
            if (!keys_tell_all)
                std::ranges::sort(alike, {}, [&](const Item& item) { return text(item); });
            for (std::size_t k = 0; k < alike.size(); ++k) {
                if (k == 0 || (!keys_tell_all && text(alike[k]) != text(alike[k - 1]))) {
                    ++stretch.texts;
                    stretch.bytes += text(alike[k]).size();
                }
                alike[k].key = stretch.texts - 1;
            }
        }
    }

    // Texts in order lie anywhere in their pool. Inline as Block::prefetch_cells.
    [[gnu::always_inline]] void ask_ahead(std::span<const Item> items) const {
        constexpr std::size_t kFar = 32, kNear = 16;
        if (items.size() <= kFar)
            return;
        __builtin_prefetch(&pools_[items[kFar].pool]->offsets_[items[kFar].id]);
        const TextPool& pool = *pools_[items[kNear].pool];
        __builtin_prefetch(pool.bytes_.data() + pool.offsets_[items[kNear].id]);
        __builtin_prefetch(&new_ids_[items[kNear].pool][items[kNear].id], 1);
    }

    // These put a stretch into the merged pool: its first text gets the id `first` and begins at `to`.
    void write_keys(const Stretch& stretch, std::size_t first, char* to, const KeyMaker& maker,
                    TextPool& merged) {
        const char* const end = to + stretch.bytes;
        auto next = static_cast<TextId>(first);
        for (std::size_t i = 0; i < stretch.items.size(); ++i) {
            const Item& item = stretch.items[i];
            if (is_new(stretch.items, i)) {
                to = write_text(maker.head(item.key), to, end);
                merged.offsets_[++next] = static_cast<std::uint64_t>(to - merged.bytes_.data());
            }
            new_ids_[item.pool][item.id] = next - 1;
        }
    }
    void write_texts(const Stretch& stretch, std::size_t first, char* to, TextPool& merged) {
        const std::span<const Item> items = stretch.items;
        for (std::size_t i = 0; i < items.size(); ++i) {
            ask_ahead(items.subspan(i));
            const auto id = static_cast<TextId>(first + items[i].key);
            new_ids_[items[i].pool][items[i].id] = id;
            if (!is_new(items, i))
                continue;
            const std::string_view once = text(items[i]);
            to = std::copy(once.begin(), once.end(), to); // an empty text may point nowhere
            merged.offsets_[id + 1] = static_cast<std::uint64_t>(to - merged.bytes_.data());
        }
    }

    template <typename WriteStretch>
    TextPool write(const WriteStretch& write_stretch) {
        struct Start {
            std::size_t text = 0, byte = 0;
        };
        std::vector<Start> starts(1);
        for (const Stretch& stretch : stretches_)
            starts.push_back({starts.back().text + stretch.texts, starts.back().byte + stretch.bytes});
        TextPool merged;
        parallel_for(2, threads_, [&](std::size_t part) {
            if (part == 0)
                merged.offsets_.resize(starts.back().text + 1);
            else
                merged.bytes_.resize(starts.back().byte);
        });
        parallel_for(stretches_.size(), threads_, [&](std::size_t s) {
            write_stretch(stretches_[s], starts[s].text, merged.bytes_.data() + starts[s].byte, merged);
        });
        return merged;
    }

    std::span<const TextPool* const> pools_;
    std::vector<std::vector<TextId>>& new_ids_;
    unsigned threads_ = 1;
    std::size_t texts_ = 0;                      // those of several pools several times
    std::size_t longest_ = 0, common_ = 0;       // bytes
    std::unique_ptr<std::uint64_t[]> all_keys_;  // until they are cut
    std::vector<std::span<std::uint64_t>> keys_; // of all_keys_, by pool and id
    std::unique_ptr<Item[]> items_;              // stretch by stretch
    std::array<Stretch, kStretches> stretches_;
};

TextPool TextPool::merge(std::span<const TextPool* const> pools, unsigned threads,
                         std::vector<std::vector<TextId>>& new_ids) {
    new_ids.clear();
    for (const TextPool* const pool : pools)
        new_ids.emplace_back(pool->size());
    return Merger(pools, threads, new_ids).merge();
}

std::vector<TextId> TextPool::sort_bytewise() {
    std::vector<std::vector<TextId>> new_ids;
    const TextPool* const self = this;
    *this = merge(std::span(&self, 1), 1, new_ids);
    return std::move(new_ids.front());
}

} // namespace thresh

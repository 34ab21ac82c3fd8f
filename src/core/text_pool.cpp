// Open addressing with linear probing over one growing byte buffer. Never shrinks; ids are stable until
// sort_bytewise.
#include <thresh/core/text_pool.hpp>

#include <algorithm>
#include <bit>
#include <cassert>
#include <cstring>
#include <thresh/core/parallel.hpp>

namespace thresh {

std::uint64_t hash_bytes(std::string_view text) {
    // Multiply and fold, eight bytes a step; constants are odd numbers from the digits of pi.
    constexpr std::uint64_t kFirst = 0x243f6a8885a308d3ULL, kSecond = 0x13198a2e03707345ULL;
    auto fold = [](std::uint64_t a, std::uint64_t b) {
        __extension__ using Wide = unsigned __int128;
        const Wide product = Wide{a} * b;
        return static_cast<std::uint64_t>(product) ^ static_cast<std::uint64_t>(product >> 64);
    };
    std::uint64_t hash = kFirst ^ text.size();
    const char* at = text.data();
    std::size_t left = text.size();
    while (left >= 8) {
        std::uint64_t word = 0;
        std::memcpy(&word, at, 8);
        hash = fold(hash ^ word, kSecond);
        at += 8;
        left -= 8;
    }
    std::uint64_t tail = 0;
    if (left > 0)
        std::memcpy(&tail, at, left);
    return fold(hash ^ tail ^ (std::uint64_t{left} << 56), kSecond);
}

TextPool::Head::Head(std::string_view text) : is_long(text.size() >= sizeof words) {
    if (!text.empty()) // an empty view may point nowhere
        std::memcpy(words.data(), text.data(), is_long ? sizeof words - 1 : text.size());
    const auto last = static_cast<char>(is_long ? sizeof words : text.size());
    std::memcpy(reinterpret_cast<char*>(words.data()) + sizeof words - 1, &last, 1);
}

namespace {

// At most two of three slots are taken: with fewer the table of a long season's IDs is slower to make than
// quicker to ask, as memory is what it waits for.
constexpr std::size_t slots_for(std::size_t texts) {
    return texts + texts / 2;
}

} // namespace

// The slot that holds the text, or the empty one where it belongs.
std::size_t TextPool::place(std::string_view text, const Head& head, std::uint64_t hash) const {
    const std::size_t mask = slots_.size() - 1;
    const auto tag = static_cast<std::uint32_t>(hash);
    std::size_t slot = hash & mask;
    for (; slots_[slot].id != kNoText; slot = (slot + 1) & mask)
        if (slots_[slot].tag == tag && slots_[slot].head == head.words &&
            (!head.is_long || (*this)[slots_[slot].id] == text))
            break;
    return slot;
}

TextId TextPool::find(std::string_view text, std::uint64_t hash) const {
    if (!slots_.empty())
        return slots_[place(text, Head(text), hash)].id;
    // Without slots the ids follow the bytes.
    TextId first = 0, last = static_cast<TextId>(size());
    while (first < last) {
        const TextId middle = first + (last - first) / 2;
        if ((*this)[middle] < text)
            first = middle + 1;
        else
            last = middle;
    }
    return first < size() && (*this)[first] == text ? first : kNoText;
}

// The tags hold enough of the hashes to place every text anew: there are never 2^32 slots.
void TextPool::rehash(std::size_t slots) {
    std::vector<Slot> old(slots);
    old.swap(slots_);
    const std::size_t mask = slots - 1;
    for (const Slot& moved : old) {
        if (moved.id == kNoText)
            continue;
        std::size_t slot = moved.tag & mask;
        while (slots_[slot].id != kNoText)
            slot = (slot + 1) & mask;
        slots_[slot] = moved;
    }
}

TextId TextPool::intern(std::string_view text) {
    ready_to_find();
    if (slots_.size() < slots_for(size() + 1))
        rehash(slots_.size() * 2);
    const Head head(text);
    const std::uint64_t hash = hash_bytes(text);
    Slot& slot = slots_[place(text, head, hash)];
    if (slot.id == kNoText) {
        assert(size() < kNoText);
        slot = {head.words, static_cast<std::uint32_t>(hash), static_cast<TextId>(size())};
        bytes_.insert(bytes_.end(), text.begin(), text.end());
        offsets_.push_back(bytes_.size());
    }
    return slot.id;
}

// Makes the slots of texts that are all different.
void TextPool::index() {
    slots_.assign(std::bit_ceil(std::max<std::size_t>(16, slots_for(size() + 1))), {});
    const std::size_t mask = slots_.size() - 1;
    for (TextId id = 0; id < size(); ++id) {
        const std::uint64_t hash = hash_bytes((*this)[id]);
        std::size_t slot = hash & mask;
        while (slots_[slot].id != kNoText)
            slot = (slot + 1) & mask;
        slots_[slot] = {Head((*this)[id]).words, static_cast<std::uint32_t>(hash), id};
    }
}

namespace {

constexpr std::size_t kInKey = 16;

// The first sixteen bytes of a text as two numbers that compare as the bytes do; shorter texts end in zeros.
struct SortKey {
    std::uint64_t first = 0, second = 0;
    TextId id = kNoText;
    std::uint32_t size = 0; // at most kInKey + 1: longer texts have more to look at
};

std::uint64_t eight_bytes(const char* text, std::size_t size) {
    std::uint64_t word = 0;
    if (size > 0)
        std::memcpy(&word, text, std::min<std::size_t>(size, 8));
    if constexpr (std::endian::native == std::endian::little)
        word = __builtin_bswap64(word);
    return word;
}

SortKey key_of(std::string_view text, TextId id) {
    return {eight_bytes(text.data(), text.size()),
            text.size() > 8 ? eight_bytes(text.data() + 8, text.size() - 8) : 0, id,
            static_cast<std::uint32_t>(std::min(text.size(), kInKey + 1))};
}

// <0, 0, >0 as the texts compare bytewise.
int compare(const SortKey& a, const TextPool& pool_a, const SortKey& b, const TextPool& pool_b) {
    if (a.first != b.first)
        return a.first < b.first ? -1 : 1;
    if (a.second != b.second)
        return a.second < b.second ? -1 : 1;
    if (a.size <= kInKey || b.size <= kInKey)
        return a.size < b.size ? -1 : static_cast<int>(a.size > b.size);
    return pool_a[a.id].compare(pool_b[b.id]);
}

std::vector<SortKey> sorted_keys(const TextPool& pool) {
    std::vector<SortKey> keys(pool.size());
    for (TextId id = 0; id < keys.size(); ++id)
        keys[id] = key_of(pool[id], id);
    std::sort(keys.begin(), keys.end(), [&](const SortKey& a, const SortKey& b) {
        if (a.first != b.first)
            return a.first < b.first;
        return compare(a, pool, b, pool) < 0;
    });
    return keys;
}

} // namespace

std::vector<TextId> TextPool::sort_bytewise() {
    std::vector<std::vector<TextId>> new_ids;
    const TextPool* const self = this;
    *this = merge(std::span(&self, 1), 1, new_ids);
    return std::move(new_ids.front());
}

// The texts between two of the bytewise order, of several pools: merged by one thread.
class TextPool::Stretch {
  public:
    using Keys = std::vector<SortKey>;
    Stretch(std::span<const TextPool* const> pools, const std::vector<Keys>& keys,
            std::vector<std::vector<TextId>>& new_ids)
        : pools_(pools), keys_(keys), new_ids_(new_ids), first_(pools.size(), 0), last_(pools.size()) {
        for (std::size_t p = 0; p < pools.size(); ++p)
            last_[p] = keys[p].size();
    }
    // Only texts from here on; only those before.
    void begin_at(const SortKey& key, const TextPool& pool) { first_ = places_of(key, pool); }
    void end_at(const SortKey& key, const TextPool& pool) { last_ = places_of(key, pool); }

    // Numbers the texts from 0.
    void merge() {
        std::vector<std::size_t> next = first_, open; // open: pools that are not at their end
        for (std::size_t p = 0; p < pools_.size(); ++p)
            if (next[p] < last_[p])
                open.push_back(p);
        while (!open.empty()) {
            std::size_t least = open.front();
            for (const std::size_t p : open) {
                ask_ahead(p, next[p]);
                if (p != least && compare(at(p, next), *pools_[p], at(least, next), *pools_[least]) < 0)
                    least = p;
            }
            const SortKey key = at(least, next);
            const auto rank = static_cast<TextId>(merged.size());
            const std::string_view text = (*pools_[least])[key.id];
            merged.bytes_.insert(merged.bytes_.end(), text.begin(), text.end());
            merged.offsets_.push_back(merged.bytes_.size());
            bool ended = false;
            for (const std::size_t p : open)
                if (p == least || compare(at(p, next), *pools_[p], key, *pools_[least]) == 0) {
                    new_ids_[p][at(p, next).id] = rank;
                    ended = ++next[p] == last_[p] || ended;
                }
            if (ended)
                std::erase_if(open, [&](std::size_t p) { return next[p] == last_[p]; });
        }
    }
    // Numbers them from `base` instead.
    void shift(TextId base) {
        for (std::size_t p = 0; p < pools_.size() && base > 0; ++p)
            for (std::size_t i = first_[p]; i < last_[p]; ++i)
                new_ids_[p][keys_[p][i].id] += base;
    }
    TextPool merged; // without slots

  private:
    const SortKey& at(std::size_t pool, const std::vector<std::size_t>& next) const {
        return keys_[pool][next[pool]];
    }
    // Texts in order lie anywhere in their pool.
    void ask_ahead(std::size_t pool, std::size_t place) const {
        constexpr std::size_t kFar = 16, kNear = 8;
        const TextPool& of = *pools_[pool];
        if (place + kFar >= last_[pool])
            return;
        __builtin_prefetch(&of.offsets_[keys_[pool][place + kFar].id]);
        const TextId near = keys_[pool][place + kNear].id;
        __builtin_prefetch(of.bytes_.data() + of.offsets_[near]);
        __builtin_prefetch(&new_ids_[pool][near], 1);
    }
    std::vector<std::size_t> places_of(const SortKey& key, const TextPool& pool) const {
        std::vector<std::size_t> places;
        for (std::size_t p = 0; p < pools_.size(); ++p)
            places.push_back(static_cast<std::size_t>(std::partition_point(keys_[p].begin(), keys_[p].end(),
                                                                           [&](const SortKey& k) {
                                                                               return compare(k, *pools_[p],
                                                                                              key, pool) < 0;
                                                                           }) -
                                                      keys_[p].begin()));
        return places;
    }
    std::span<const TextPool* const> pools_;
    const std::vector<Keys>& keys_;
    std::vector<std::vector<TextId>>& new_ids_;
    std::vector<std::size_t> first_, last_; // by pool: its keys of this stretch
};

TextPool TextPool::merge(std::span<const TextPool* const> pools, unsigned threads,
                         std::vector<std::vector<TextId>>& new_ids) {
    constexpr std::size_t kWorthIt = 10000;
    std::vector<std::vector<SortKey>> keys(pools.size());
    new_ids.assign(pools.size(), {});
    parallel_for(pools.size(), threads, [&](std::size_t p) {
        keys[p] = sorted_keys(*pools[p]);
        new_ids[p].resize(pools[p]->size());
    });
    std::size_t largest = 0; // its texts show where to cut
    for (std::size_t p = 0; p < pools.size(); ++p)
        if (keys[p].size() > keys[largest].size())
            largest = p;
    const bool cut = threads > 1 && !keys.empty() && keys[largest].size() > kWorthIt;
    std::vector<Stretch> stretches(cut ? 2 * threads : 1, Stretch(pools, keys, new_ids));
    for (std::size_t i = 1; i < stretches.size(); ++i) {
        const SortKey& key = keys[largest][keys[largest].size() * i / stretches.size()];
        stretches[i - 1].end_at(key, *pools[largest]);
        stretches[i].begin_at(key, *pools[largest]);
    }
    parallel_for(stretches.size(), threads, [&](std::size_t i) { stretches[i].merge(); });
    TextPool merged = std::move(stretches.front().merged);
    std::vector<TextId> base(stretches.size(), 0);
    for (std::size_t i = 1; i < stretches.size(); ++i) {
        base[i] = static_cast<TextId>(merged.size());
        merged.append(stretches[i].merged);
    }
    parallel_for(stretches.size(), threads, [&](std::size_t i) { stretches[i].shift(base[i]); });
    return merged;
}

void TextPool::append(const TextPool& later) {
    const std::uint64_t before = bytes_.size();
    bytes_.insert(bytes_.end(), later.bytes_.begin(), later.bytes_.end());
    offsets_.reserve(offsets_.size() + later.size());
    for (std::size_t i = 1; i < later.offsets_.size(); ++i)
        offsets_.push_back(before + later.offsets_[i]);
}

} // namespace thresh

// Open addressing with linear probing over one growing byte buffer. Never shrinks; ids are stable until
// sort_bytewise.
#include <thresh/core/text_pool.hpp>

#include <algorithm>
#include <cassert>
#include <cstring>

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

TextId TextPool::find(std::string_view text) const {
    if (slots_.empty())
        return kNoText;
    const std::size_t mask = slots_.size() - 1;
    const std::uint64_t hash = hash_bytes(text);
    const auto tag = static_cast<std::uint32_t>(hash);
    for (std::size_t slot = hash & mask; slots_[slot].id != kNoText; slot = (slot + 1) & mask)
        if (slots_[slot].tag == tag && (*this)[slots_[slot].id] == text)
            return slots_[slot].id;
    return kNoText;
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
    if (slots_.size() < (size() + 1) * 2)
        rehash(std::max<std::size_t>(16, slots_.size() * 2));
    const std::size_t mask = slots_.size() - 1;
    const std::uint64_t hash = hash_bytes(text);
    const auto tag = static_cast<std::uint32_t>(hash);
    std::size_t slot = hash & mask;
    for (; slots_[slot].id != kNoText; slot = (slot + 1) & mask)
        if (slots_[slot].tag == tag && (*this)[slots_[slot].id] == text)
            return slots_[slot].id;
    assert(size() < kNoText);
    const auto id = static_cast<TextId>(size());
    bytes_.insert(bytes_.end(), text.begin(), text.end());
    offsets_.push_back(bytes_.size());
    slots_[slot] = {tag, id};
    return id;
}

namespace {

// The first sixteen bytes of a text as two numbers that compare as the bytes do; shorter texts end in zeros.
struct SortKey {
    std::uint64_t first = 0, second = 0;
    TextId id = kNoText;
};

std::uint64_t eight_bytes(std::string_view text, std::size_t from) {
    std::uint64_t word = 0;
    for (std::size_t i = from; i < from + 8; ++i)
        word = word << 8 | (i < text.size() ? static_cast<unsigned char>(text[i]) : 0U);
    return word;
}

} // namespace

std::vector<TextId> TextPool::sort_bytewise() {
    std::vector<SortKey> order(size());
    for (TextId id = 0; id < order.size(); ++id)
        order[id] = {eight_bytes((*this)[id], 0), eight_bytes((*this)[id], 8), id};
    std::sort(order.begin(), order.end(), [this](const SortKey& a, const SortKey& b) {
        if (a.first != b.first)
            return a.first < b.first;
        if (a.second != b.second)
            return a.second < b.second;
        return (*this)[a.id] < (*this)[b.id];
    });
    std::vector<TextId> new_id(size());
    std::vector<char> bytes;
    bytes.reserve(bytes_.size());
    std::vector<std::uint64_t> offsets = {0};
    offsets.reserve(offsets_.size());
    for (TextId rank = 0; rank < order.size(); ++rank) {
        const std::string_view text = (*this)[order[rank].id];
        bytes.insert(bytes.end(), text.begin(), text.end());
        offsets.push_back(bytes.size());
        new_id[order[rank].id] = rank;
    }
    bytes_ = std::move(bytes);
    offsets_ = std::move(offsets);
    for (Slot& slot : slots_)
        if (slot.id != kNoText)
            slot.id = new_id[slot.id];
    return new_id;
}

} // namespace thresh

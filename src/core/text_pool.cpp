// Open addressing with linear probing over one growing byte buffer. Never shrinks; ids are stable until
// sort_bytewise.
#include <thresh/core/text_pool.hpp>

#include <algorithm>
#include <cassert>
#include <cstring>
#include <numeric>

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
    for (std::size_t slot = hash_bytes(text) & mask; slots_[slot] != kNoText; slot = (slot + 1) & mask)
        if ((*this)[slots_[slot]] == text)
            return slots_[slot];
    return kNoText;
}

void TextPool::rehash(std::size_t slots) {
    slots_.assign(slots, kNoText);
    const std::size_t mask = slots - 1;
    for (TextId id = 0; id < size(); ++id) {
        std::size_t slot = hash_bytes((*this)[id]) & mask;
        while (slots_[slot] != kNoText)
            slot = (slot + 1) & mask;
        slots_[slot] = id;
    }
}

TextId TextPool::intern(std::string_view text) {
    if (slots_.size() < (size() + 1) * 2)
        rehash(std::max<std::size_t>(16, slots_.size() * 2));
    const std::size_t mask = slots_.size() - 1;
    std::size_t slot = hash_bytes(text) & mask;
    for (; slots_[slot] != kNoText; slot = (slot + 1) & mask)
        if ((*this)[slots_[slot]] == text)
            return slots_[slot];
    assert(size() < kNoText);
    const auto id = static_cast<TextId>(size());
    bytes_.insert(bytes_.end(), text.begin(), text.end());
    offsets_.push_back(bytes_.size());
    slots_[slot] = id;
    return id;
}

std::vector<TextId> TextPool::sort_bytewise() {
    std::vector<TextId> order(size());
    std::iota(order.begin(), order.end(), TextId{0});
    std::sort(order.begin(), order.end(), [this](TextId a, TextId b) { return (*this)[a] < (*this)[b]; });
    std::vector<TextId> new_id(size());
    std::vector<char> bytes;
    bytes.reserve(bytes_.size());
    std::vector<std::uint64_t> offsets = {0};
    offsets.reserve(offsets_.size());
    for (TextId rank = 0; rank < order.size(); ++rank) {
        const std::string_view text = (*this)[order[rank]];
        bytes.insert(bytes.end(), text.begin(), text.end());
        offsets.push_back(bytes.size());
        new_id[order[rank]] = rank;
    }
    bytes_ = std::move(bytes);
    offsets_ = std::move(offsets);
    if (!slots_.empty())
        rehash(slots_.size());
    return new_id;
}

} // namespace thresh

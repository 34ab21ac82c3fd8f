// Open addressing with linear probing over one growing byte buffer. Never shrinks; ids are stable until
// sort_bytewise.
#include <thresh/core/text_pool.hpp>

#include <algorithm>
#include <bit>
#include <cassert>
#include <cstring>

namespace thresh {

namespace {

// The last `count` < 8 bytes of a text as a word, zeros behind them. Read as a whole word where the text is
// that long: copying a number of bytes that is not known beforehand takes several times as long.
std::uint64_t last_bytes(std::string_view text, std::size_t count) {
    std::uint64_t word = 0;
    if (text.size() >= sizeof word && count > 0) {
        std::memcpy(&word, text.data() + text.size() - sizeof word, sizeof word);
        const std::size_t unwanted = 8 * (sizeof word - count);
        return std::endian::native == std::endian::little ? word >> unwanted : word << unwanted;
    }
    if (count > 0)
        std::memcpy(&word, text.data() + text.size() - count, count);
    return word;
}

} // namespace

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
    const std::uint64_t tail = last_bytes(text, left);
    return fold(hash ^ tail ^ (std::uint64_t{left} << 56), kSecond);
}

TextPool::Head::Head(std::string_view text) {
    if (text.size() >= sizeof(Words)) {
        std::memcpy(&words[0], text.data(), sizeof words[0]);
        words[1] = text.size();
        words[2] = std::uint64_t{sizeof(Words)} << kLast;
        return;
    }
    std::size_t whole = 0;
    if (text.size() >= 8)
        std::memcpy(&words[whole++], text.data(), 8);
    if (text.size() >= 16)
        std::memcpy(&words[whole++], text.data() + 8, 8);
    words[whole] = last_bytes(text, text.size() % 8);
    words.back() |= std::uint64_t{text.size()} << kLast;
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
    const bool is_long = Head::is_long(head.words);
    const std::uint64_t compared = is_long ? Head::kLastByte : ~std::uint64_t{0}; // of the last word
    const auto is_head = [&](const Words& other) { // == would call for three words
        return ((other[0] ^ head.words[0]) | (other[1] ^ head.words[1]) |
                ((other[2] ^ head.words[2]) & compared)) == 0;
    };
    const auto is_text = [&](const Words& other) { // of the same size as `text`
        return std::memcmp(bytes_.data() + Head::offset(other), text.data(), text.size()) == 0;
    };
    std::size_t slot = hash & mask;
    for (; slots_[slot].id != kNoText; slot = (slot + 1) & mask)
        if (slots_[slot].tag == tag && is_head(slots_[slot].head) && (!is_long || is_text(slots_[slot].head)))
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

void TextPool::reserve(std::size_t texts) {
    const std::size_t slots = std::bit_ceil(slots_for(texts + 1));
    if (size() == 0 || slots_.empty() || slots <= 2 * slots_.size())
        return;
    bytes_.reserve(bytes_.size() / size() * texts);
    offsets_.reserve(texts + 1);
    rehash(slots);
}

TextId TextPool::intern(std::string_view text, std::uint64_t hash) {
    ready_to_find();
    if (slots_.size() < slots_for(size() + 1))
        rehash(slots_.size() * 2);
    Head head(text);
    Slot& slot = slots_[place(text, head, hash)];
    if (slot.id == kNoText) {
        assert(size() < kNoText);
        point_at(head, bytes_.size());
        slot = {head.words, static_cast<std::uint32_t>(hash), static_cast<TextId>(size())};
        bytes_.insert(bytes_.end(), text.begin(), text.end());
        offsets_.push_back(bytes_.size());
    }
    return slot.id;
}

// Of a text that begins there.
void TextPool::point_at(Head& head, std::size_t offset) {
    if (!Head::is_long(head.words))
        return;
    head.words.back() |= offset << Head::kFirst;
    any_long_ = true;
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
        Head head((*this)[id]);
        point_at(head, offsets_[id]);
        slots_[slot] = {head.words, static_cast<std::uint32_t>(hash), id};
    }
}

} // namespace thresh

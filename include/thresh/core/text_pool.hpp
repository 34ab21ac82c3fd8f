// Interned text: each distinct string once, addressed by a small number.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <limits>
#include <span>
#include <string_view>
#include <vector>

namespace thresh {

// A good 64-bit hash of bytes, the same in every run and on every machine.
std::uint64_t hash_bytes(std::string_view text);

using TextId = std::uint32_t;
inline constexpr TextId kNoText = std::numeric_limits<TextId>::max(); // blank or no such column

class TextPool {
  public:
    std::size_t size() const { return offsets_.size() - 1; }
    std::string_view operator[](TextId id) const {
        return std::string_view(bytes_.data() + offsets_[id], offsets_[id + 1] - offsets_[id]);
    }
    // The id of `text`, added at the end when it is new. Ids follow arrival until `sort_bytewise`.
    TextId intern(std::string_view text) { return intern(text, hash_bytes(text)); }
    // The same for a text whose hash_bytes is known.
    TextId intern(std::string_view text, std::uint64_t hash);
    // Room for about so many texts in all, where it would grow more than twofold until then: growing in steps
    // takes a good part of the time of a pool with hundreds of thousands of texts.
    void reserve(std::size_t texts);
    // kNoText when absent. In a pool fresh from `merge` or `sort_bytewise` by halves; `ready_to_find` makes
    // many look-ups quick.
    TextId find(std::string_view text) const { return find(text, hash_bytes(text)); }
    // The same for a text whose hash_bytes is known.
    TextId find(std::string_view text, std::uint64_t hash) const;
    void ready_to_find() {
        if (slots_.empty())
            index();
    }
    // Ask the memory for what finding a text of this hash will need: many texts in random order cost little
    // when they are asked for ahead. First the slot; then, some texts later, what the slot tells is needed.
    // Inline as Block::prefetch_cells.
    [[gnu::always_inline]] void prefetch(std::uint64_t hash) const {
        if (!slots_.empty())
            __builtin_prefetch(&slots_[hash & (slots_.size() - 1)]);
    }
    [[gnu::always_inline]] void prefetch_text(std::uint64_t hash) const {
        if (!any_long_)
            return;
        const Slot& slot = slots_[hash & (slots_.size() - 1)];
        if (!Head::is_long(slot.head)) // nor is an empty slot's
            return;
        constexpr std::size_t kCacheLine = 64;
        const char* const text = bytes_.data() + Head::offset(slot.head);
        __builtin_prefetch(text);
        __builtin_prefetch(text + kCacheLine);
    }
    // Renumbers so that ids follow the bytewise order of the strings: independent of arrival.
    // Returns the new id of each old one.
    std::vector<TextId> sort_bytewise();

    // One pool of all the texts of `pools`, ids in bytewise order, and for each of `pools` the new id of each
    // old one. `threads` sort side by side; the result does not depend on them.
    static TextPool merge(std::span<const TextPool* const> pools, unsigned threads,
                          std::vector<std::vector<TextId>>& new_ids);

  private:
    // A short text as three words, so that finding one goes to one place in memory: two short texts are equal
    // when their words are. Of a long one the first eight bytes, the size, and where it begins in bytes_,
    // which is not known of one that is sought. The last byte says which, and of short ones the size.
    using Words = std::array<std::uint64_t, 3>;
    struct Head {
        Words words{};
        explicit Head(std::string_view text);
        static constexpr unsigned kLast = std::endian::native == std::endian::little ? 56 : 0;
        static constexpr unsigned kFirst = kLast == 0 ? 8 : 0; // the bits of an offset, beside the last byte
        static constexpr std::uint64_t kLastByte = std::uint64_t{255} << kLast;
        static bool is_long(const Words& words) {
            return (words.back() & kLastByte) == std::uint64_t{sizeof(Words)} << kLast;
        }
        static std::size_t offset(const Words& words) { return (words.back() & ~kLastByte) >> kFirst; }
    };
    struct Slot {
        Words head{};
        std::uint32_t tag = 0; // low half of the hash
        TextId id = kNoText;
    };
    std::size_t place(std::string_view text, const Head& head, std::uint64_t hash) const;
    void point_at(Head& head, std::size_t offset);
    void rehash(std::size_t slots);
    void index();
    class Merger;
    std::vector<char> bytes_;
    std::vector<std::uint64_t> offsets_ = {0};
    std::vector<Slot> slots_; // open addressing, power of two
    bool any_long_ = false;   // among those in slots_
};

} // namespace thresh

// Interned text: each distinct string once, addressed by a small number.
#pragma once

#include <array>
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
    // Asks the memory for what finding a text of this hash will need: many texts in random order cost little
    // when they are asked for ahead.
    void prefetch(std::uint64_t hash) const {
        if (!slots_.empty())
            __builtin_prefetch(&slots_[hash & (slots_.size() - 1)]);
    }
    // Renumbers so that ids follow the bytewise order of the strings: independent of arrival.
    // Returns the new id of each old one.
    std::vector<TextId> sort_bytewise();

    // One pool of all the texts of `pools`, ids in bytewise order, and for each of `pools` the new id of each
    // old one. `threads` sort side by side; the result does not depend on them.
    static TextPool merge(std::span<const TextPool* const> pools, unsigned threads,
                          std::vector<std::vector<TextId>>& new_ids);

  private:
    // A short text as three words, or the beginning of a long one; the last byte says which. Two short texts
    // are equal when their words are, so that finding one goes to one place in memory.
    struct Head {
        std::array<std::uint64_t, 3> words{};
        bool is_long = false;
        explicit Head(std::string_view text);
    };
    struct Slot {
        std::array<std::uint64_t, 3> head{};
        std::uint32_t tag = 0; // low half of the hash
        TextId id = kNoText;
    };
    std::size_t place(std::string_view text, const Head& head, std::uint64_t hash) const;
    void rehash(std::size_t slots);
    void index();
    class Merger;
    std::vector<char> bytes_;
    std::vector<std::uint64_t> offsets_ = {0};
    std::vector<Slot> slots_; // open addressing, power of two
};

} // namespace thresh

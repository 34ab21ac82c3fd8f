// Interned text: each distinct string once, addressed by a small number.
#pragma once

#include <cstdint>
#include <limits>
#include <string_view>
#include <vector>

namespace thresh {

using TextId = std::uint32_t;
inline constexpr TextId kNoText = std::numeric_limits<TextId>::max(); // blank or no such column

class TextPool {
  public:
    std::size_t size() const { return offsets_.size() - 1; }
    std::string_view operator[](TextId id) const {
        return std::string_view(bytes_.data() + offsets_[id], offsets_[id + 1] - offsets_[id]);
    }
    // The id of `text`, added at the end when it is new. Ids follow arrival until `sort_bytewise`.
    TextId intern(std::string_view text);
    // kNoText when absent.
    TextId find(std::string_view text) const;
    // Asks the memory for what finding a text of this hash will need, in two steps some texts apart: many
    // texts in random order cost little when they are asked for ahead.
    void prefetch(std::uint64_t hash) const {
        if (!slots_.empty())
            __builtin_prefetch(&slots_[hash & (slots_.size() - 1)]);
    }
    void prefetch_text(std::uint64_t hash) const {
        const TextId id = slots_.empty() ? kNoText : slots_[hash & (slots_.size() - 1)].id;
        if (id != kNoText)
            __builtin_prefetch(bytes_.data() + offsets_[id]);
    }
    // Renumbers so that ids follow the bytewise order of the strings: independent of arrival.
    // Returns the new id of each old one.
    std::vector<TextId> sort_bytewise();

  private:
    struct Slot {
        std::uint32_t tag = 0; // low half of the hash: tells most texts apart without looking at them
        TextId id = kNoText;
    };
    void rehash(std::size_t slots);
    std::vector<char> bytes_;
    std::vector<std::uint64_t> offsets_ = {0};
    std::vector<Slot> slots_; // open addressing, power of two
};

// A good 64-bit hash of bytes, the same in every run and on every machine.
std::uint64_t hash_bytes(std::string_view text);

} // namespace thresh

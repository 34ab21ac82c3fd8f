// Texts as numbers that order as the texts do, so that many can be sorted without comparing bytes.
#pragma once

#include <algorithm>
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string_view>

namespace thresh {

// The first 23 bytes of a text, zeros behind a shorter one, and how many of them are the text's (24: it is
// longer). Compared word by word, heads order as their texts do bytewise; two texts of up to 23 bytes are
// equal when their heads are.
using TextHead = std::array<std::uint64_t, 3>;
inline constexpr std::size_t kHeadBytes = 23;

// The words are big-endian, so that their order is that of the bytes. `readable`: bytes from the beginning of
// the text that may be read, its own at least. From 24 on it goes quicker.
inline TextHead head_of(std::string_view text, std::size_t readable) {
    const char* from = text.data();
    std::array<char, sizeof(TextHead)> padded{};
    if (readable < sizeof(TextHead)) {
        if (!text.empty()) // an empty view may point nowhere
            std::memcpy(padded.data(), from, std::min(text.size(), kHeadBytes));
        from = padded.data();
    }
    TextHead head;
    std::memcpy(head.data(), from, sizeof head);
    for (std::size_t i = 0, left = std::min(text.size(), kHeadBytes); i < head.size(); ++i) {
        const std::size_t here = std::min<std::size_t>(left, 8);
        if constexpr (std::endian::native == std::endian::little)
            head[i] = __builtin_bswap64(head[i]);
        head[i] &= here == 0 ? 0 : ~std::uint64_t{0} << (64 - 8 * here);
        left -= here;
    }
    head.back() |= std::min(text.size(), kHeadBytes + 1);
    return head;
}

// Writes the text of a head of up to 23 bytes and returns the end of it. `end`: as far as may be written;
// from 24 bytes on it goes quicker.
inline char* write_text(const TextHead& head, char* to, const char* end) {
    const std::size_t size = head.back() & 0xFF;
    TextHead words = head;
    if constexpr (std::endian::native == std::endian::little)
        for (std::uint64_t& word : words)
            word = __builtin_bswap64(word);
    if (static_cast<std::size_t>(end - to) >= sizeof words)
        std::memcpy(to, words.data(), sizeof words); // what is too much will be written over
    else if (size > 0)
        std::memcpy(to, words.data(), size);
    return to + size;
}

// The bits in which some of the heads differ.
class VaryingBits {
  public:
    void see(const TextHead& head) {
        if (!any_)
            first_ = head;
        any_ = true;
        for (std::size_t i = 0; i < head.size(); ++i)
            mask_[i] |= head[i] ^ first_[i];
    }
    void see_all_of(const VaryingBits& other);
    const TextHead& mask() const { return mask_; }
    // One of the heads.
    const TextHead& first() const { return first_; }

  private:
    TextHead first_{}, mask_{};
    bool any_ = false;
};

// Bits that all heads share say nothing of their order. Without them the heads of IDs mostly fit one number.
class KeyMaker {
  public:
    explicit KeyMaker(const VaryingBits& varying);
    // Precondition: the head was among those seen. A smaller key is an earlier text; equal keys say nothing
    // unless `exact`.
    std::uint64_t key(const TextHead& head) const {
        std::uint64_t key = 0;
        for (std::size_t word = 0; word < head.size(); ++word)
            for (std::size_t i = begin_[word]; i < begin_[word + 1]; ++i)
                key |= (head[word] >> run_[i].shift & run_[i].mask) << run_[i].in_key;
        return key;
    }
    // The head that has this key. Precondition: exact().
    TextHead head(std::uint64_t key) const { return {word_of(key, 0), word_of(key, 1), word_of(key, 2)}; }
    // How long the text of this key is, 24: longer. Precondition: exact().
    std::size_t text_size(std::uint64_t key) const { return word_of(key, 2) & 0xFF; }
    // Equal keys are equal heads.
    bool exact() const { return exact_; }
    // Keys are below 2^bits.
    unsigned bits() const { return bits_; }

  private:
    // Neighbouring bits that vary.
    struct Run {
        std::uint64_t mask = 0;
        unsigned shift = 0, width = 0, in_key = 0; // places of its last bit in the word and in the key
    };
    std::uint64_t word_of(std::uint64_t key, std::size_t word) const {
        std::uint64_t made = same_[word];
        for (std::size_t i = begin_[word]; i < begin_[word + 1]; ++i)
            made |= (key >> run_[i].in_key & run_[i].mask) << run_[i].shift;
        return made;
    }
    std::array<Run, 64> run_{};          // the first bits first
    std::array<std::size_t, 4> begin_{}; // by word: its first run; then their number
    TextHead same_{};                    // what all heads share, zeros where they vary
    unsigned bits_ = 0;
    bool exact_ = true;
};

} // namespace thresh

// Copies a text and looks in the same pass whether it holds a byte that must not be copied as it stands.
#pragma once

#include <cstdint>
#include <cstring>
#include <string_view>

namespace thresh::report {

// Whether any of the eight bytes is one of four.
template <char kA, char kB, char kC, char kD>
constexpr bool holds_any(std::uint64_t word) {
    constexpr std::uint64_t kOnes = 0x0101010101010101U;
    // The high bit of every byte that is zero, and only then any: the classic test of a word for a zero byte.
    const auto zero_bytes = [](std::uint64_t w) { return (w - kOnes) & ~w & (kOnes * 0x80); };
    const auto find = [&](char c) { return zero_bytes(word ^ (kOnes * static_cast<unsigned char>(c))); };
    return (find(kA) | find(kB) | find(kC) | find(kD)) != 0;
}

// Copies `text` to `at` (room for its size) and returns the end; nullptr when it holds one of the four bytes:
// then what was copied means nothing. None of the four may be NUL.
template <char kA, char kB, char kC, char kD>
char* put_unless_holding(char* at, std::string_view text) {
    const std::size_t size = text.size();
    const char* from = text.data();
    const auto copy = [&](std::size_t offset) {
        std::uint64_t word = 0;
        std::memcpy(&word, from + offset, 8);
        std::memcpy(at + offset, &word, 8);
        return word;
    };
    if (size >= 8) {
        for (std::size_t i = 0; i + 8 < size; i += 8)
            if (holds_any<kA, kB, kC, kD>(copy(i)))
                return nullptr;
        return holds_any<kA, kB, kC, kD>(copy(size - 8)) ? nullptr
                                                         : at + size; // the last eight, again in part
    }
    std::uint64_t word = 0; // NUL where there is no text
    if (size >= 4) {
        std::uint32_t first = 0, last = 0;
        std::memcpy(&first, from, 4);
        std::memcpy(&last, from + size - 4, 4);
        std::memcpy(at, &first, 4);
        std::memcpy(at + size - 4, &last, 4);
        word = first | std::uint64_t{last} << 32;
    } else if (size > 0) { // first, middle and last are all there is, the same byte perhaps
        for (const std::size_t i : {std::size_t{0}, size / 2, size - 1}) {
            at[i] = from[i];
            word = word << 8 | static_cast<unsigned char>(from[i]);
        }
    }
    return holds_any<kA, kB, kC, kD>(word) ? nullptr : at + size;
}

} // namespace thresh::report

// Copies texts and looks in the same pass whether they hold a byte that must not be copied as it stands.
#pragma once

#include <cstdint>
#include <cstring>
#include <string_view>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace thresh::report {

// Sixteen bytes, and marks for those among them that are one of four. NUL stands where a text has fewer.
#if defined(__SSE2__)

class Sixteen {
  public:
    explicit Sixteen(const char* from) : bytes_(_mm_loadu_si128(reinterpret_cast<const __m128i*>(from))) {}
    Sixteen(std::uint64_t low, std::uint64_t high)
        : bytes_(_mm_set_epi64x(static_cast<std::int64_t>(high), static_cast<std::int64_t>(low))) {}
    void store(char* at) const { _mm_storeu_si128(reinterpret_cast<__m128i*>(at), bytes_); }
    template <char kA, char kB, char kC, char kD>
    Sixteen marks() const {
        const auto find = [this](char c) { return _mm_cmpeq_epi8(bytes_, _mm_set1_epi8(c)); };
        return Sixteen(_mm_or_si128(_mm_or_si128(find(kA), find(kB)), _mm_or_si128(find(kC), find(kD))));
    }
    void add(Sixteen marks) { bytes_ = _mm_or_si128(bytes_, marks.bytes_); }
    bool any_mark() const { return _mm_movemask_epi8(bytes_) != 0; }

  private:
    explicit Sixteen(__m128i bytes) : bytes_(bytes) {}
    __m128i bytes_;
};

#else

class Sixteen {
  public:
    explicit Sixteen(const char* from) {
        std::memcpy(&low_, from, 8);
        std::memcpy(&high_, from + 8, 8);
    }
    Sixteen(std::uint64_t low, std::uint64_t high) : low_(low), high_(high) {}
    void store(char* at) const {
        std::memcpy(at, &low_, 8);
        std::memcpy(at + 8, &high_, 8);
    }
    template <char kA, char kB, char kC, char kD>
    Sixteen marks() const {
        // The high bit of every byte that is zero, and only then any: the classic test of a word for a zero
        // byte.
        constexpr std::uint64_t kOnes = 0x0101010101010101U;
        const auto zero_bytes = [](std::uint64_t w) { return (w - kOnes) & ~w & (kOnes * 0x80); };
        const auto find = [&](char c) {
            const std::uint64_t all = kOnes * static_cast<unsigned char>(c);
            return zero_bytes(low_ ^ all) | zero_bytes(high_ ^ all);
        };
        return {find(kA) | find(kB) | find(kC) | find(kD), 0};
    }
    void add(Sixteen marks) {
        low_ |= marks.low_;
        high_ |= marks.high_;
    }
    bool any_mark() const { return (low_ | high_) != 0; }

  private:
    std::uint64_t low_ = 0, high_ = 0;
};

#endif

// Copies texts and remembers whether any held one of the four bytes: then what was copied means nothing. None
// of the four may be NUL.
template <char kA, char kB, char kC, char kD>
class PlainCopier {
  public:
    // Copies `text` to `at` (room for its size) and returns the end.
    char* put(char* at, std::string_view text) {
        const std::size_t size = text.size();
        const char* from = text.data();
        const auto part = [&](auto& word, std::size_t offset) {
            std::memcpy(&word, from + offset, sizeof word);
            std::memcpy(at + offset, &word, sizeof word);
        };
        std::uint64_t low = 0, high = 0; // first and last part; together they are all
        if (size >= 16) {
            for (std::size_t i = 0;;
                 i = i + 32 < size ? i + 16 : size - 16) { // the last sixteen, again in part
                const Sixteen bytes(from + i);
                bytes.store(at + i);
                found_.add(bytes.template marks<kA, kB, kC, kD>());
                if (i + 16 == size)
                    return at + size;
            }
        } else if (size >= 8) {
            part(low, 0);
            part(high, size - 8);
        } else if (size >= 4) {
            std::uint32_t first = 0, last = 0;
            part(first, 0);
            part(last, size - 4);
            low = first | std::uint64_t{last} << 32;
        } else if (size >= 2) {
            std::uint16_t first = 0, last = 0;
            part(first, 0);
            part(last, size - 2);
            low = first | std::uint64_t{last} << 16;
        } else if (size == 1) {
            *at = *from;
            low = static_cast<unsigned char>(*from);
        } else {
            return at;
        }
        found_.add(Sixteen(low, high).template marks<kA, kB, kC, kD>());
        return at + size;
    }
    bool held_any() const { return found_.any_mark(); }

  private:
    Sixteen found_{0, 0};
};

} // namespace thresh::report

// Sixty-four bytes become one word in which a bit says "this byte is a delimiter, a line feed or a quote";
// the bits are then walked. SSE2 belongs to every x86-64; elsewhere, or when asked, a byte loop makes the
// same words.
#include "intake/scan.hpp"

#include <bit>
#include <cstring>

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace thresh::intake {

namespace {

constexpr std::size_t kStep = 64;

struct Needles {
    char a, b, c; // equal ones are allowed
};

std::uint64_t find_plain(const char* at, Needles n) {
    std::uint64_t bits = 0;
    for (std::size_t i = 0; i < kStep; ++i)
        bits |= std::uint64_t{at[i] == n.a || at[i] == n.b || at[i] == n.c} << i;
    return bits;
}

std::uint64_t find_wide(const char* at, Needles n) {
#if defined(__SSE2__)
    const __m128i a = _mm_set1_epi8(n.a), b = _mm_set1_epi8(n.b), c = _mm_set1_epi8(n.c);
    std::uint64_t bits = 0;
    for (int i = 0; i < 4; ++i) {
        const __m128i bytes = _mm_loadu_si128(reinterpret_cast<const __m128i*>(at + 16 * i));
        const __m128i hit = _mm_or_si128(_mm_or_si128(_mm_cmpeq_epi8(bytes, a), _mm_cmpeq_epi8(bytes, b)),
                                         _mm_cmpeq_epi8(bytes, c));
        bits |= std::uint64_t{static_cast<std::uint32_t>(_mm_movemask_epi8(hit))} << (16 * i);
    }
    return bits;
#else
    return find_plain(at, n);
#endif
}

// Calls `hit(offset)` for every needle from `origin` on, in order, until it returns false.
template <typename Hit>
void for_each_hit(std::string_view text, std::size_t origin, Needles n, bool plain, Hit hit) {
    char tail[kStep];
    for (std::size_t at = origin; at < text.size(); at += kStep) {
        const std::size_t left = text.size() - at;
        const char* bytes = text.data() + at;
        std::uint64_t keep = ~std::uint64_t{0};
        if (left < kStep) {
            std::memcpy(tail, bytes, left);
            std::memset(tail + left, 0, kStep - left);
            bytes = tail;
            keep = (std::uint64_t{1} << left) - 1;
        }
        for (std::uint64_t bits = (plain ? find_plain(bytes, n) : find_wide(bytes, n)) & keep; bits != 0;
             bits &= bits - 1)
            if (!hit(at + static_cast<std::size_t>(std::countr_zero(bits))))
                return;
    }
}

} // namespace

void scan_rows(std::string_view text, std::size_t origin, char delimiter, bool plain, Rows& rows) {
    rows.row_last.clear();
    rows.special.clear();
    rows.stopped = false;
    // Room for a needle at every byte, so that the loop need not ask.
    if (rows.ends.size() < text.size() + kStep)
        rows.ends.resize(text.size() + kStep);
    std::uint32_t* to = rows.ends.data();
    for_each_hit(text, origin, {delimiter, '\n', '\n'}, plain, [&](std::size_t at) {
        *to++ = static_cast<std::uint32_t>(at);
        if (text[at] == '\n')
            rows.row_last.push_back(static_cast<std::uint32_t>(to - rows.ends.data() - 1));
        return true;
    });
}

void scan_quoted_rows(std::string_view text, std::size_t origin, Dialect dialect, bool plain, Rows& rows) {
    rows.row_last.clear();
    rows.special.clear();
    rows.stopped = false;
    if (rows.ends.size() < text.size() + kStep)
        rows.ends.resize(text.size() + kStep);
    std::uint32_t* to = rows.ends.data();
    constexpr std::size_t kNone = static_cast<std::size_t>(-1);
    std::size_t row_begin = origin, cell_begin = origin, skip = kNone, closed = kNone;
    bool inside = false;
    std::uint8_t special = 0;
    for_each_hit(text, origin, {dialect.delimiter, '\n', dialect.quote}, plain, [&](std::size_t at) {
        if (at == skip)
            return true;
        const char c = text[at];
        if (inside) {
            if (c != dialect.quote) {
                special |= c == '\n';
            } else if (at + 1 < text.size() && text[at + 1] == dialect.quote) {
                skip = at + 1;
                special = 1;
            } else {
                inside = false;
                closed = at;
            }
            return true;
        }
        if (c == dialect.quote) {
            inside = at == cell_begin;
            rows.stopped = !inside;
            return inside;
        }
        if (closed != kNone && at != closed + 1 && !(c == '\n' && at == closed + 2 && text[at - 1] == '\r')) {
            rows.stopped = true; // text behind the closing quote
            return false;
        }
        closed = kNone;
        cell_begin = at + 1;
        *to++ = static_cast<std::uint32_t>(at);
        if (c == '\n') {
            rows.row_last.push_back(static_cast<std::uint32_t>(to - rows.ends.data() - 1));
            rows.special.push_back(special);
            special = 0;
            row_begin = at + 1;
        }
        return true;
    });
    rows.stopped = rows.stopped || inside;
    rows.stop = row_begin;
}

} // namespace thresh::intake

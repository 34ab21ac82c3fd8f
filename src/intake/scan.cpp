// Sixty-four bytes become one word in which a bit says "this byte is a delimiter, a line feed or a quote";
// the bits are then walked. Text without quotes is the hot path: one pass finds its cells, its rows and what
// else must be known of it, with wide registers where the processor has them (scan_512.cpp for the widest).
// Elsewhere, or when asked, a byte loop finds the same.
#include "intake/scan_ways.hpp"

#include <bit>
#include <cstring>

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#elif defined(__SSE2__)
#include <emmintrin.h>
#endif

namespace thresh::intake {

namespace {

constexpr std::size_t kStep = kScanStep;

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

namespace {

void clear(std::string_view text, Rows& rows) {
    rows.row_last.clear();
    rows.special.clear();
    rows.stopped = false;
    // Room for a needle at every byte, so that loops need not ask.
    if (rows.ends.size() < text.size() + kStep)
        rows.ends.resize(text.size() + kStep);
}

} // namespace

Survey scan_bytes(std::string_view text, std::size_t from, std::size_t cells, Dialect dialect, Rows& rows) {
    Survey survey;
    for (std::size_t at = from; at < text.size(); ++at) {
        const char c = text[at];
        if (c == '\n')
            rows.row_last.push_back(static_cast<std::uint32_t>(cells));
        if (c == '\n' || c == dialect.delimiter)
            rows.ends[cells++] = static_cast<std::uint32_t>(at);
        survey.zero = survey.zero || c == '\0';
        survey.carriage_return = survey.carriage_return || c == '\r';
        survey.quote = survey.quote || (c == dialect.quote && c != '\0');
        survey.beyond_ascii = survey.beyond_ascii || (static_cast<unsigned char>(c) & 0x80) != 0;
    }
    return survey;
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

#define THRESH_AVX2 __attribute__((target("avx2,bmi,popcnt")))

THRESH_AVX2 inline std::uint64_t bits_of(__m256i low, __m256i high) {
    return static_cast<std::uint32_t>(_mm256_movemask_epi8(low)) |
           std::uint64_t{static_cast<std::uint32_t>(_mm256_movemask_epi8(high))} << 32;
}

// A word's offsets into `to`. Twelve are written at once, needed or not: how many there are cannot be
// guessed, and a wrong guess costs more; that there are more than twelve is rare.
THRESH_AVX2 inline void write_offsets(std::uint64_t bits, std::size_t at, std::uint32_t* to) {
    const auto next = [&]() THRESH_AVX2 {
        *to++ = static_cast<std::uint32_t>(at) + static_cast<std::uint32_t>(_tzcnt_u64(bits));
        bits = _blsr_u64(bits);
    };
    for (int i = 0; i < 12; ++i)
        next();
    while (bits != 0)
        next();
}

THRESH_AVX2 Survey scan_wide(std::string_view text, std::size_t origin, Dialect dialect, Rows& rows) {
    const __m256i delimiter = _mm256_set1_epi8(dialect.delimiter), feed = _mm256_set1_epi8('\n'),
                  quote = _mm256_set1_epi8(dialect.quote), back = _mm256_set1_epi8('\r'),
                  zero = _mm256_setzero_si256();
    __m256i zeros = zero, backs = zero, quotes = zero, bytes = zero;
    std::size_t cells = 0, at = origin;
    for (; at + kStep <= text.size(); at += kStep) {
        std::uint64_t hits = 0, feeds = 0;
        const __m256i* const from = reinterpret_cast<const __m256i*>(text.data() + at);
        const __m256i low = _mm256_loadu_si256(from), high = _mm256_loadu_si256(from + 1);
        const __m256i low_feed = _mm256_cmpeq_epi8(low, feed), high_feed = _mm256_cmpeq_epi8(high, feed);
        feeds = bits_of(low_feed, high_feed);
        hits = bits_of(_mm256_cmpeq_epi8(low, delimiter), _mm256_cmpeq_epi8(high, delimiter)) | feeds;
        const auto either = [&](__m256i needle) THRESH_AVX2 {
            return _mm256_or_si256(_mm256_cmpeq_epi8(low, needle), _mm256_cmpeq_epi8(high, needle));
        };
        zeros = _mm256_or_si256(zeros, either(zero));
        backs = _mm256_or_si256(backs, either(back));
        quotes = _mm256_or_si256(quotes, either(quote));
        bytes = _mm256_or_si256(bytes, _mm256_or_si256(low, high));
        for (; feeds != 0; feeds = _blsr_u64(feeds))
            rows.row_last.push_back(static_cast<std::uint32_t>(
                cells + static_cast<std::size_t>(_mm_popcnt_u64(hits & _blsmsk_u64(feeds))) - 1));
        write_offsets(hits, at, rows.ends.data() + cells);
        cells += static_cast<std::size_t>(_mm_popcnt_u64(hits));
    }
    Survey survey = scan_bytes(text, at, cells, dialect, rows);
    const auto any = [](__m256i found) THRESH_AVX2 { return _mm256_movemask_epi8(found) != 0; };
    survey.zero = survey.zero || any(zeros);
    survey.carriage_return = survey.carriage_return || any(backs);
    survey.quote = survey.quote || (dialect.quote != '\0' && any(quotes));
    survey.beyond_ascii = survey.beyond_ascii || any(bytes);
    return survey;
}

#undef THRESH_AVX2

} // namespace

ScanWay scan_by_halves() {
    const bool can = __builtin_cpu_supports("avx2") != 0 && __builtin_cpu_supports("bmi") != 0 &&
                     __builtin_cpu_supports("popcnt") != 0;
    return can ? scan_wide : nullptr;
}

#else

ScanWay scan_by_halves() {
    return nullptr;
}

#endif

Survey scan_rows(std::string_view text, std::size_t origin, Dialect dialect, bool plain, Rows& rows) {
    static const ScanWay widest = [] {
        const ScanWay steps = scan_by_steps();
        return steps != nullptr ? steps : scan_by_halves();
    }();
    clear(text, rows);
    return plain || widest == nullptr ? scan_bytes(text, origin, 0, dialect, rows)
                                      : widest(text, origin, dialect, rows);
}

void scan_quoted_rows(std::string_view text, std::size_t origin, Dialect dialect, bool plain, Rows& rows) {
    clear(text, rows);
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

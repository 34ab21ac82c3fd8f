// A lane is the eight bytes before a cell's end as one word: its last byte is the cell's last character. What
// stands before the decimal mark moves up over it, bytes before the cell are cleared, and the digits are
// summed in pairs, fours and eights. Whatever is not a digit after that, a second mark, a mark alone and
// longer cells are left to the straightforward way.
#include "intake/number_lanes.hpp"

#if defined(__x86_64__) && defined(__GNUC__)

#include <cstring>
#include <immintrin.h>

namespace thresh::intake {

namespace {

#define THRESH_AVX2 __attribute__((target("avx2"), always_inline)) inline

THRESH_AVX2 long long word_before(const char* end) {
    long long word = 0;
    std::memcpy(&word, end - 8, 8);
    return word;
}

struct Four {
    __m128i cells;
    unsigned filled, left; // by bit
};

// Cells in quotes become what the quotes hold.
THRESH_AVX2 void inside_quotes(const char* text, char quote, __m128i& from, __m128i& to) {
    alignas(16) std::uint32_t end[4];
    _mm_store_si128(reinterpret_cast<__m128i*>(end), to);
    const auto last = [&](std::size_t i) { return text[std::size_t{end[i]} - 1]; };
    const __m128i quoted = _mm_cmpeq_epi32(_mm_setr_epi32(last(0), last(1), last(2), last(3)),
                                           _mm_set1_epi32(quote)); // -1 where it is
    to = _mm_add_epi32(to, quoted);
    from = _mm_sub_epi32(from, quoted);
}

// `from`: ends of the cells before, `to`: of these.
THRESH_AVX2 Four read_four(const char* text, __m128i from, __m128i to, char mark) {
    const __m256i one = _mm256_set1_epi8(1), all = _mm256_set1_epi8(-1), none = _mm256_setzero_si256();
    alignas(16) std::uint32_t end[4];
    _mm_store_si128(reinterpret_cast<__m128i*>(end), to);
    const __m256i word = _mm256_set_epi64x(word_before(text + end[3]), word_before(text + end[2]),
                                           word_before(text + end[1]), word_before(text + end[0]));
    const __m256i size = _mm256_cvtepu32_epi64(_mm_sub_epi32(_mm_sub_epi32(to, from), _mm_set1_epi32(1)));
    const __m256i too_long = _mm256_cmpgt_epi64(size, _mm256_set1_epi64x(8));
    const __m256i empty = _mm256_cmpeq_epi64(size, none);
    // Shifts of 64 and more, and negative ones, give zero: empty and too long cells keep nothing.
    const __m256i cell =
        _mm256_sllv_epi64(all, _mm256_sub_epi64(_mm256_set1_epi64x(64), _mm256_slli_epi64(size, 3)));
    const __m256i marks = _mm256_and_si256(_mm256_cmpeq_epi8(word, _mm256_set1_epi8(mark)), cell);
    const __m256i unmarked = _mm256_cmpeq_epi64(marks, none);
    const __m256i lowest = _mm256_and_si256(marks, _mm256_sub_epi64(none, marks)); // a single bit
    const __m256i first_mark = _mm256_sub_epi64(_mm256_slli_epi64(lowest, 8), lowest);
    const __m256i before = _mm256_andnot_si256(unmarked, _mm256_add_epi64(lowest, all));
    const __m256i after = _mm256_andnot_si256(_mm256_or_si256(before, first_mark), all);
    const __m256i moved =
        _mm256_or_si256(_mm256_slli_epi64(_mm256_and_si256(word, before), 8), _mm256_and_si256(word, after));
    const __m256i kept = _mm256_blendv_epi8(_mm256_slli_epi64(cell, 8), cell, unmarked);
    const __m256i digits =
        _mm256_and_si256(_mm256_xor_si256(moved, _mm256_set1_epi8('0')), kept); // others are above 9
    const __m256i nine = _mm256_set1_epi8(9);
    const __m256i plain = _mm256_cmpeq_epi64(_mm256_cmpeq_epi8(_mm256_max_epu8(digits, nine), nine), all);
    const __m256i mark_alone = _mm256_andnot_si256(unmarked, _mm256_cmpeq_epi64(kept, none));
    const __m256i decimals =
        _mm256_sad_epu8(_mm256_and_si256(_mm256_andnot_si256(unmarked, after), one), none);

    const __m256i pairs = _mm256_maddubs_epi16(digits, _mm256_set1_epi16(10 + (1 << 8)));
    const __m256i fours = _mm256_madd_epi16(pairs, _mm256_set1_epi32(100 + (1 << 16)));
    const __m256i value =
        _mm256_add_epi64(_mm256_mul_epu32(fours, _mm256_set1_epi64x(10000)), _mm256_srli_epi64(fours, 32));
    // An empty cell has the value 0 and no decimals so far.
    const __m256i missing = _mm256_and_si256(empty, _mm256_set1_epi64x(Cell{}.bits()));
    const __m256i bits =
        _mm256_or_si256(_mm256_or_si256(_mm256_slli_epi64(value, Cell::kTagBits), decimals), missing);
    const __m256i narrow = _mm256_permutevar8x32_epi32(bits, _mm256_setr_epi32(0, 2, 4, 6, 0, 2, 4, 6));
    const __m256i odd =
        _mm256_or_si256(_mm256_or_si256(too_long, mark_alone), _mm256_andnot_si256(plain, all));
    return {_mm256_castsi256_si128(narrow),
            static_cast<unsigned>(_mm256_movemask_pd(_mm256_castsi256_pd(empty))) ^ 15U,
            static_cast<unsigned>(_mm256_movemask_pd(_mm256_castsi256_pd(odd)))};
}

} // namespace

bool has_number_lanes() {
    static const bool has = __builtin_cpu_supports("avx2") != 0;
    return has;
}

__attribute__((target("avx2"))) LanesRead read_number_lanes(const char* text, const std::uint32_t* ends,
                                                            std::span<const std::uint32_t> positions,
                                                            LaneMarks marks, Cell* cells) {
    LanesRead read;
    for (std::size_t c = 0; c < positions.size(); c += 4) {
        // The last four may read some cells again.
        const std::size_t at = c + 4 <= positions.size() ? c : positions.size() - 4;
        const std::uint32_t* const position = positions.data() + at;
        const auto load = [](const std::uint32_t* from) __attribute__((target("avx2"))) {
            return _mm_loadu_si128(reinterpret_cast<const __m128i*>(from));
        };
        // Number columns mostly stand side by side.
        const bool side_by_side = position[3] == position[0] + 3;
        const __m128i columns = load(position);
        const auto* const ints = reinterpret_cast<const int*>(ends);
        __m128i to = side_by_side ? load(ends + position[0]) : _mm_i32gather_epi32(ints, columns, 4);
        __m128i from =
            side_by_side ? load(ends + position[0] - 1) : _mm_i32gather_epi32(ints - 1, columns, 4);
        if (marks.quote != '\0')
            inside_quotes(text, marks.quote, from, to);
        const Four four = read_four(text, from, to, marks.decimal);
        _mm_storeu_si128(reinterpret_cast<__m128i*>(cells + at), four.cells);
        read.filled |= std::uint64_t{four.filled} << at;
        read.left |= std::uint64_t{four.left} << at;
    }
    return read;
}

} // namespace thresh::intake

#else

#include <cassert>

namespace thresh::intake {

bool has_number_lanes() {
    return false;
}

LanesRead read_number_lanes(const char*, const std::uint32_t*, std::span<const std::uint32_t>, LaneMarks,
                            Cell*) {
    assert(false);
    return {};
}

} // namespace thresh::intake

#endif

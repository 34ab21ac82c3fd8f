// A lane is the eight bytes before a cell's end. Where its decimal mark must stand is known, so one shuffle
// takes it out; that it stands there, and digits elsewhere, is checked for all cells of the row at once. The
// digits are summed in pairs, fours and eights.
#include "intake/column_lanes.hpp"

#include <algorithm>
#include <cassert>

#if defined(__x86_64__) && defined(__GNUC__)
#include <cstring>
#include <immintrin.h>
#endif

namespace thresh::intake {

namespace {

constexpr unsigned kBytes = 8; // of a lane
constexpr std::uint8_t kNothing = 0x80;

} // namespace

ColumnLanes::ColumnLanes(std::span<const std::uint32_t> positions, char mark) : mark_(mark) {
    assert(positions.size() >= kLanes);
    for (std::size_t c = 0; c < positions.size(); c += kLanes) {
        Group& group = groups_.emplace_back();
        group.first = std::min(c, positions.size() - kLanes);
        std::copy_n(positions.begin() + static_cast<std::ptrdiff_t>(group.first), kLanes, group.position);
        group.side_by_side = group.position[kLanes - 1] == group.position[0] + kLanes - 1;
        for (std::size_t lane = 0; lane < kLanes; ++lane)
            set(group, lane, 0);
    }
}

void ColumnLanes::set(Group& group, std::size_t lane, unsigned decimals) const {
    const std::size_t begin = lane * kBytes, in_register = begin % 16;
    const unsigned mark = decimals == 0 ? kBytes : kBytes - 1 - decimals; // where it stands
    for (unsigned i = 0; i < kBytes; ++i) {
        group.zeros[begin + i] = static_cast<std::uint8_t>(i == mark ? mark_ : '0');
        group.largest[begin + i] = i == mark ? 0 : 9;
        const unsigned from = mark == kBytes || i > mark ? i : i - 1; // before the mark: one to the left
        group.gathered[begin + i] =
            mark != kBytes && i == 0 ? kNothing : static_cast<std::uint8_t>(in_register + from);
    }
    group.decimals[lane] = decimals;
    group.least[lane] = decimals + 1;
}

void ColumnLanes::expect(std::span<const Cell> cells) {
    for (Group& group : groups_)
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            const Cell cell = cells[group.first + lane];
            if (cell.is_decimal() && cell.decimals() < kBytes && cell.decimals() != group.decimals[lane])
                set(group, lane, cell.decimals());
        }
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

#define THRESH_AVX2 __attribute__((target("avx2"), always_inline)) inline

THRESH_AVX2 __m256i load(const void* from) {
    return _mm256_loadu_si256(static_cast<const __m256i*>(from));
}

THRESH_AVX2 __m256i words_before(const char* text, const std::uint32_t* ends) {
    const auto word = [&](std::size_t i) {
        long long bytes = 0;
        std::memcpy(&bytes, text + ends[i] - kBytes, kBytes);
        return bytes;
    };
    return _mm256_set_epi64x(word(3), word(2), word(1), word(0));
}

// The digits of four cells in fours, and in `wrong` what is no digit or mark where one is expected.
THRESH_AVX2 __m256i read_four(__m256i words, __m128i shifts, const std::uint8_t* zeros,
                              const std::uint8_t* largest, const std::uint8_t* gathered, __m256i& wrong) {
    // Shifts of 64 and more, and negative ones, give zero: empty and too long cells keep nothing.
    const __m256i cell = _mm256_sllv_epi64(_mm256_set1_epi8(-1), _mm256_cvtepu32_epi64(shifts));
    const __m256i bytes = _mm256_and_si256(_mm256_xor_si256(words, load(zeros)), cell);
    wrong = _mm256_or_si256(wrong, _mm256_subs_epu8(bytes, load(largest)));
    const __m256i digits = _mm256_shuffle_epi8(bytes, load(gathered));
    const __m256i pairs = _mm256_maddubs_epi16(digits, _mm256_set1_epi16(10 + (1 << 8)));
    return _mm256_madd_epi16(pairs, _mm256_set1_epi32(100 + (1 << 16)));
}

} // namespace

__attribute__((target("avx2"))) bool ColumnLanes::read(const char* text, const std::uint32_t* ends,
                                                       Cell* cells, bool& filled) const {
    const __m256i none = _mm256_setzero_si256();
    __m256i wrong = none, wrong_size = none, all_empty = _mm256_set1_epi8(-1);
    for (const Group& group : groups_) {
        // Number columns mostly stand side by side.
        const std::uint32_t* end = ends + group.position[0];
        __m256i to = load(end), from = load(end - 1);
        alignas(32) std::uint32_t apart[kLanes];
        if (!group.side_by_side) {
            const auto* const ints = reinterpret_cast<const int*>(ends);
            to = _mm256_i32gather_epi32(ints, load(group.position), 4);
            from = _mm256_i32gather_epi32(ints - 1, load(group.position), 4);
            _mm256_store_si256(reinterpret_cast<__m256i*>(apart), to);
            end = apart;
        }
        const __m256i size = _mm256_sub_epi32(_mm256_sub_epi32(to, from), _mm256_set1_epi32(1));
        const __m256i empty = _mm256_cmpeq_epi32(size, none);
        const __m256i too_short = _mm256_andnot_si256(empty, _mm256_cmpgt_epi32(load(group.least), size));
        const __m256i too_long = _mm256_cmpgt_epi32(size, _mm256_set1_epi32(kBytes));
        wrong_size = _mm256_or_si256(wrong_size, _mm256_or_si256(too_short, too_long));
        all_empty = _mm256_and_si256(all_empty, empty);
        const __m256i shifts = _mm256_sub_epi32(_mm256_set1_epi32(64), _mm256_slli_epi32(size, 3));
        const __m256i low = read_four(words_before(text, end), _mm256_castsi256_si128(shifts), group.zeros,
                                      group.largest, group.gathered, wrong);
        const __m256i high = read_four(words_before(text, end + 4), _mm256_extracti128_si256(shifts, 1),
                                       group.zeros + 32, group.largest + 32, group.gathered + 32, wrong);
        const __m256i value = _mm256_permute4x64_epi64(
            _mm256_madd_epi16(_mm256_packus_epi32(low, high), _mm256_set1_epi32(10000 + (1 << 16))),
            _MM_SHUFFLE(3, 1, 2, 0));
        const __m256i tag = _mm256_blendv_epi8(load(group.decimals), _mm256_set1_epi32(Cell{}.bits()), empty);
        _mm256_storeu_si256(reinterpret_cast<__m256i*>(cells + group.first),
                            _mm256_or_si256(_mm256_slli_epi32(value, Cell::kTagBits), tag));
    }
    filled = _mm256_movemask_epi8(all_empty) != -1;
    const __m256i any = _mm256_or_si256(wrong, wrong_size);
    return _mm256_testz_si256(any, any) != 0;
}

#undef THRESH_AVX2

#else

bool ColumnLanes::read(const char*, const std::uint32_t*, Cell*, bool&) const {
    assert(false);
    return false;
}

#endif

} // namespace thresh::intake

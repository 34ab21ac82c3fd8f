#include "rules/plain_rows.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <limits>

#if defined(__x86_64__) && defined(__GNUC__)
#define THRESH_AVX2 __attribute__((target("avx2")))
#include <immintrin.h>
#endif

namespace thresh::rules {

namespace {

// So many summands that lie within their windows add up to less than 32 bits hold.
constexpr std::size_t kMostSummands = 16;
constexpr std::int32_t kMostOfOne = std::numeric_limits<std::int32_t>::max() / std::int32_t{kMostSummands};

} // namespace

// Windows of the summands keep the sum within 32 bits: what seed holds lies far within.
PlainRows::PlainRows(RowWindows windows, std::vector<SumWindow> sums)
    : windows_(std::move(windows)), sums_(std::move(sums)) {
    for (const SumWindow& sum : sums_) {
        assert(sum.summands_.size() <= kMostSummands);
        for (const SumWindow::Summand& one : sum.summands_) {
            const double most = static_cast<double>(kMostOfOne / one.scale) / kPowersOfTen[one.tag];
            windows_.set(one.column, CellWindow(-most, most, 1));
        }
    }
}

void PlainRows::find_others_plainly(const Block& block, std::size_t first, std::size_t last,
                                    OtherRows& others) const {
    for (std::size_t row = first; row < last; ++row) {
        const bool held = windows_.hold(block, row);
        if (!held)
            others.rows.push_back(static_cast<std::uint32_t>(row));
        if (!held || !std::all_of(sums_.begin(), sums_.end(),
                                  [&](const SumWindow& sum) { return sum.holds(block, row); }))
            others.sums.push_back(static_cast<std::uint32_t>(row));
    }
}

#if defined(THRESH_AVX2)

namespace {

constexpr std::size_t kLanes = 8;
using Lanes = std::array<std::int32_t, kLanes>;

// What is known of eight columns that stand together, as RowWindows has it.
struct Columns {
    alignas(32) Lanes tag_mask{};
    alignas(32) Lanes tag{};
    alignas(32) Lanes low{};
    alignas(32) Lanes high{};
    alignas(32) Lanes missing{};
    std::size_t first = 0;
};
// Of a sum, in eight such columns: what a number is multiplied by, 0 where it is no summand.
struct Summands {
    alignas(32) Lanes scale{};
    alignas(32) Lanes needed{};
};

THRESH_AVX2 __m256i load(const Lanes& lanes) {
    return _mm256_load_si256(reinterpret_cast<const __m256i*>(lanes.data()));
}

THRESH_AVX2 std::int32_t sum_of(__m256i lanes) {
    __m128i sum = _mm_add_epi32(_mm256_castsi256_si128(lanes), _mm256_extracti128_si256(lanes, 1));
    sum = _mm_add_epi32(sum, _mm_shuffle_epi32(sum, 0x4e));
    return _mm_cvtsi128_si32(_mm_add_epi32(sum, _mm_shuffle_epi32(sum, 0xb1)));
}

} // namespace

template <std::size_t kSums>
THRESH_AVX2 void PlainRows::find_others_wide(const Block& block, std::size_t first, std::size_t last,
                                             OtherRows& others) const {
    const std::size_t width = block.table->numbers.size();
    assert(width >= kLanes && sums_.size() == kSums);
    // The last eight columns overlap those before; what is counted already is no summand there.
    std::vector<Columns> columns((width + kLanes - 1) / kLanes);
    std::vector<Summands> summands(columns.size() * sums_.size()); // sums of the first columns, of the next
    for (std::size_t g = 0; g < columns.size(); ++g) {
        Columns& some = columns[g];
        some.first = std::min(g * kLanes, width - kLanes);
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
            const std::size_t c = some.first + lane;
            some.tag_mask[lane] = windows_.tag_mask_[c];
            some.tag[lane] = windows_.tag_[c];
            some.low[lane] = windows_.low_[c];
            some.high[lane] = windows_.high_[c];
            some.missing[lane] = windows_.missing_[c];
        }
    }
    for (std::size_t s = 0; s < sums_.size(); ++s)
        for (const SumWindow::Summand& one : sums_[s].summands_) {
            const std::size_t g = one.column / kLanes, lane = one.column - columns[g].first;
            Summands& some = summands[g * sums_.size() + s];
            some.scale[lane] = static_cast<std::int32_t>(one.scale);
            some.needed[lane] = one.needed ? -1 : 0;
        }
    const __m256i no_number = _mm256_set1_epi32(Cell().bits());
    const Cell* cells = block.cells.data() + first * width;
    for (std::size_t row = first; row < last; ++row, cells += width) {
        __m256i outside = _mm256_set1_epi32(windows_.none_);
        __m256i sum[kSums + 1] = {}, no_sum[kSums + 1] = {}; // one more than none
        const Summands* of_sum = summands.data();
        for (const Columns& some : columns) {
            const __m256i bits = _mm256_loadu_si256(reinterpret_cast<const __m256i*>(cells + some.first));
            const __m256i as_usual =
                _mm256_cmpeq_epi32(_mm256_and_si256(bits, load(some.tag_mask)), load(some.tag));
            const __m256i beyond = _mm256_or_si256(_mm256_cmpgt_epi32(load(some.low), bits),
                                                   _mm256_cmpgt_epi32(bits, load(some.high)));
            const __m256i held = _mm256_or_si256(_mm256_andnot_si256(beyond, as_usual),
                                                 _mm256_cmpeq_epi32(bits, load(some.missing)));
            outside = _mm256_or_si256(outside, _mm256_xor_si256(held, _mm256_set1_epi32(-1)));
            const __m256i missing = _mm256_cmpeq_epi32(bits, no_number); // adds nothing
            const __m256i number = _mm256_srai_epi32(bits, Cell::kTagBits);
            for (std::size_t s = 0; s < kSums; ++s, ++of_sum) {
                sum[s] = _mm256_add_epi32(sum[s], _mm256_mullo_epi32(number, load(of_sum->scale)));
                no_sum[s] = _mm256_or_si256(no_sum[s], _mm256_and_si256(missing, load(of_sum->needed)));
            }
        }
        const bool plain = _mm256_testz_si256(outside, outside) != 0;
        bool sums_plain = plain;
        for (std::size_t s = 0; s < kSums; ++s) {
            const std::int32_t all = sum_of(sum[s]);
            sums_plain = sums_plain && ((all >= sums_[s].low_ && all <= sums_[s].high_) ||
                                        _mm256_testz_si256(no_sum[s], no_sum[s]) == 0);
        }
        if (!plain)
            others.rows.push_back(static_cast<std::uint32_t>(row));
        if (!sums_plain)
            others.sums.push_back(static_cast<std::uint32_t>(row));
    }
}

void PlainRows::find_others(const Block& block, std::size_t first, std::size_t last,
                            OtherRows& others) const {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    if (!wide || block.table->numbers.size() < kLanes || sums_.size() > 4) {
        find_others_plainly(block, first, last, others);
        return;
    }
    switch (sums_.size()) { // known to the compiler, so that sums stay in registers
    case 0:
        return find_others_wide<0>(block, first, last, others);
    case 1:
        return find_others_wide<1>(block, first, last, others);
    case 2:
        return find_others_wide<2>(block, first, last, others);
    case 3:
        return find_others_wide<3>(block, first, last, others);
    default:
        return find_others_wide<4>(block, first, last, others);
    }
}

#else

void PlainRows::find_others(const Block& block, std::size_t first, std::size_t last,
                            OtherRows& others) const {
    find_others_plainly(block, first, last, others);
}

#endif

} // namespace thresh::rules

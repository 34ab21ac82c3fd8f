// Each number costs a division; AVX2 does four in the time of one. Division and multiplication stay apart, as
// they do one by one, so that the digits are the same.
#include "basis/multiply.hpp"

#include <array>
#include <cstdint>
#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#endif

namespace thresh::basis {

bool multiply_plainly(const Cell* cells, const double* own, double of_row, std::size_t count,
                      double* values) {
    bool beside = false;
    for (std::size_t i = 0; i < count; ++i) {
        values[i] = cells[i].or_nan() * (own[i] < 0 ? of_row : own[i]);
        beside = beside || cells[i].beside();
    }
    return beside;
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

// The divisors as floats, which hold powers of ten up to 10^10 exactly.
constexpr auto kDivisors = [] {
    std::array<float, 16> divisors{};
    for (std::size_t tag = 0; tag < divisors.size(); ++tag)
        divisors[tag] = static_cast<float>(Cell::kDivisors[tag]);
    return divisors;
}();
static_assert([] {
    for (std::size_t tag = 0; tag <= Cell::kMaxDecimals; ++tag)
        if (double{kDivisors[tag]} != Cell::kDivisors[tag])
            return false;
    return true;
}());
static_assert(Cell::kTagBits == 4 && (Cell::wide(0).bits() | 1) == Cell::below_limit(0).bits());

__attribute__((target("avx2"), always_inline)) inline void
multiply_four(__m128i digits, __m128 divisors, const double* own, __m256d of_row, double* values) {
    const __m256d number = _mm256_div_pd(_mm256_cvtepi32_pd(digits), _mm256_cvtps_pd(divisors));
    const __m256d its_own = _mm256_loadu_pd(own);
    const __m256d factor = _mm256_blendv_pd(its_own, of_row, its_own); // by the sign
    _mm256_storeu_pd(values, _mm256_mul_pd(number, factor));
}

__attribute__((target("avx2"), always_inline)) inline __m256i load_cells(const Cell* cells) {
    return _mm256_loadu_si256(reinterpret_cast<const __m256i*>(cells));
}

// Of eight cells only the first ones; nothing behind them is read.
__attribute__((target("avx2"), always_inline)) inline __m256i load_some(const Cell* cells,
                                                                        std::size_t count) {
    alignas(32) static constexpr std::int32_t kWanted[16] = {-1, -1, -1, -1, -1, -1, -1, -1};
    const auto* wanted = reinterpret_cast<const __m256i*>(kWanted + 8 - count);
    return _mm256_maskload_epi32(reinterpret_cast<const int*>(cells), _mm256_loadu_si256(wanted));
}

// A tag's low three bits choose in each half of the divisors, its highest the half. Returns what is not zero
// where a number may stand beside.
__attribute__((target("avx2"), always_inline)) inline __m256i multiply_eight(__m256i bits, const double* own,
                                                                             __m256d of_row, double* values) {
    const __m256 low = _mm256_loadu_ps(kDivisors.data());
    const __m256 high = _mm256_loadu_ps(kDivisors.data() + 8);
    const __m256 half = _mm256_castsi256_ps(_mm256_slli_epi32(bits, 32 - Cell::kTagBits));
    const __m256 divisors =
        _mm256_blendv_ps(_mm256_permutevar8x32_ps(low, bits), _mm256_permutevar8x32_ps(high, bits), half);
    const __m256i digits = _mm256_srai_epi32(bits, Cell::kTagBits);
    multiply_four(_mm256_castsi256_si128(digits), _mm256_castps256_ps128(divisors), own, of_row, values);
    multiply_four(_mm256_extracti128_si256(digits, 1), _mm256_extractf128_ps(divisors, 1), own + 4, of_row,
                  values + 4);
    const __m256i tag_but_last_bit = _mm256_and_si256(bits, _mm256_set1_epi32((1 << Cell::kTagBits) - 2));
    return _mm256_cmpeq_epi32(tag_but_last_bit, _mm256_set1_epi32(Cell::wide(0).bits()));
}

__attribute__((target("avx2"))) bool multiply_wide(const Cell* cells, const double* own, double of_row,
                                                   std::size_t count, double* values) {
    const __m256d factor = _mm256_set1_pd(of_row);
    __m256i beside = _mm256_setzero_si256();
    std::size_t i = 0;
    for (; i + kAtOnce <= count; i += kAtOnce)
        beside = _mm256_or_si256(beside, multiply_eight(load_cells(cells + i), own + i, factor, values + i));
    if (i < count)
        beside = _mm256_or_si256(
            beside, multiply_eight(load_some(cells + i, count - i), own + i, factor, values + i));
    return _mm256_testz_si256(beside, beside) == 0;
}

} // namespace

bool multiply(const Cell* cells, const double* own, double of_row, std::size_t count, double* values) {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    return (wide ? multiply_wide : multiply_plainly)(cells, own, of_row, count, values);
}

#else

bool multiply(const Cell* cells, const double* own, double of_row, std::size_t count, double* values) {
    return multiply_plainly(cells, own, of_row, count, values);
}

#endif

} // namespace thresh::basis

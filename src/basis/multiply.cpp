// Each number costs a division; AVX2 does four in the time of one. Division and multiplication stay apart, as
// they do one by one, so that the digits are the same.
#include "basis/multiply.hpp"

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#endif

namespace thresh::basis {

bool multiply_plainly(const Cell* cells, const std::uint32_t* factor_of, const double* factors,
                      std::size_t count, double* values) {
    bool beside = false;
    for (std::size_t i = 0; i < count; ++i) {
        values[i] = cells[i].or_nan() * factors[factor_of[i]];
        beside = beside || cells[i].beside();
    }
    return beside;
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

// Four loads: quicker than the instruction that gathers.
__attribute__((target("avx2"), always_inline)) inline __m256d look_up(const double* table, __m128i at) {
    const auto low = static_cast<std::uint64_t>(_mm_cvtsi128_si64(at));
    const auto high = static_cast<std::uint64_t>(_mm_extract_epi64(at, 1));
    return _mm256_setr_pd(table[low & 0xffffffffU], table[low >> 32], table[high & 0xffffffffU],
                          table[high >> 32]);
}

__attribute__((target("avx2"))) bool multiply_wide(const Cell* cells, const std::uint32_t* factor_of,
                                                   const double* factors, std::size_t count, double* values) {
    const __m128i tags = _mm_set1_epi32((1 << Cell::kTagBits) - 1);
    const __m128i first_beside = _mm_set1_epi32(Cell::wide(0).bits());
    const __m128i last_beside = _mm_set1_epi32(Cell::below_limit(0).bits());
    __m128i beside = _mm_setzero_si128();
    std::size_t i = 0;
    for (; i + 4 <= count; i += 4) {
        const __m128i bits = _mm_loadu_si128(reinterpret_cast<const __m128i*>(cells + i));
        const __m128i tag = _mm_and_si128(bits, tags);
        const __m256d digits = _mm256_cvtepi32_pd(_mm_srai_epi32(bits, Cell::kTagBits));
        const __m256d divisor = look_up(Cell::kDivisors, tag);
        const __m128i which = _mm_loadu_si128(reinterpret_cast<const __m128i*>(factor_of + i));
        const __m256d factor = look_up(factors, which);
        _mm256_storeu_pd(values + i, _mm256_mul_pd(_mm256_div_pd(digits, divisor), factor));
        beside = _mm_or_si128(
            beside, _mm_or_si128(_mm_cmpeq_epi32(tag, first_beside), _mm_cmpeq_epi32(tag, last_beside)));
    }
    const bool rest = multiply_plainly(cells + i, factor_of + i, factors, count - i, values + i);
    return rest || _mm_movemask_epi8(beside) != 0;
}

} // namespace

bool multiply(const Cell* cells, const std::uint32_t* factor_of, const double* factors, std::size_t count,
              double* values) {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    return (wide ? multiply_wide : multiply_plainly)(cells, factor_of, factors, count, values);
}

#else

bool multiply(const Cell* cells, const std::uint32_t* factor_of, const double* factors, std::size_t count,
              double* values) {
    return multiply_plainly(cells, factor_of, factors, count, values);
}

#endif

} // namespace thresh::basis

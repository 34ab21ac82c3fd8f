// With AVX2 four numbers go through the same steps as one in FixedDecimals, without a branch. Products below
// 10^8 fit the conversion to 32 bits; what is not for here is computed as zero and marked at the end.
#include "report/digit_lanes.hpp"

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#endif

namespace thresh::report {

void digits_one_by_one(const FixedDecimals& decimals, std::span<const double> values, std::uint64_t* digits) {
    for (std::size_t i = 0; i < values.size(); ++i)
        digits[i] = decimals.digits_of(values[i]);
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

// As FixedDecimals::eight_digits, lane by lane.
__attribute__((target("avx2"), always_inline)) inline __m256i eight_digits(__m256i n) {
    // n / 10000, exact for all of 32 bits
    const __m256i high = _mm256_srli_epi64(_mm256_mul_epu32(n, _mm256_set1_epi64x(3518437209)), 45);
    const __m256i low = _mm256_sub_epi64(n, _mm256_mul_epu32(high, _mm256_set1_epi64x(10000)));
    const __m256i halves = _mm256_or_si256(high, _mm256_slli_epi64(low, 32));
    const __m256i hundreds = _mm256_srli_epi32(_mm256_mullo_epi32(halves, _mm256_set1_epi32(10486)), 20);
    const __m256i rest = _mm256_sub_epi32(halves, _mm256_mullo_epi16(hundreds, _mm256_set1_epi32(100)));
    const __m256i pairs = _mm256_or_si256(hundreds, _mm256_slli_epi32(rest, 16));
    const __m256i tens = _mm256_srli_epi16(_mm256_mullo_epi16(pairs, _mm256_set1_epi16(103)), 10);
    const __m256i ones = _mm256_sub_epi16(pairs, _mm256_mullo_epi16(tens, _mm256_set1_epi16(10)));
    return _mm256_or_si256(tens, _mm256_slli_epi16(ones, 8));
}

__attribute__((target("avx2"))) void
digits_side_by_side(const FixedDecimals& decimals, std::span<const double> values, std::uint64_t* digits) {
    const __m256d scale = _mm256_set1_pd(decimals.scale()), limit = _mm256_set1_pd(decimals.limit());
    const __m256d half = _mm256_set1_pd(0.5), off = _mm256_set1_pd(0x1p-52), zero = _mm256_setzero_pd();
    const __m256d sign = _mm256_set1_pd(-0.0);
    std::size_t i = 0;
    for (; i + 4 <= values.size(); i += 4) {
        const __m256d value = _mm256_loadu_pd(values.data() + i);
        const __m256d of_any = _mm256_mul_pd(value, scale);
        const __m256d fits = _mm256_and_pd(_mm256_cmp_pd(value, zero, _CMP_GE_OQ),
                                           _mm256_cmp_pd(of_any, limit, _CMP_LT_OQ)); // NaN does not
        const __m256d product = _mm256_and_pd(of_any, fits);
        const __m128i whole = _mm256_cvttpd_epi32(product);
        const __m256d beyond_half = _mm256_sub_pd(_mm256_sub_pd(product, _mm256_cvtepi32_pd(whole)), half);
        const __m256d near =
            _mm256_cmp_pd(_mm256_andnot_pd(sign, beyond_half), _mm256_mul_pd(product, off), _CMP_LE_OQ);
        const __m256d up = _mm256_cmp_pd(beyond_half, zero, _CMP_GT_OQ);
        const __m256i nearest = _mm256_sub_epi64(_mm256_cvtepi32_epi64(whole), _mm256_castpd_si256(up));
        const __m256d taken = _mm256_andnot_pd(near, fits);
        const __m256i not_here = _mm256_xor_si256(_mm256_castpd_si256(taken), _mm256_set1_epi64x(-1));
        _mm256_storeu_si256(reinterpret_cast<__m256i*>(digits + i),
                            _mm256_or_si256(eight_digits(nearest), not_here));
    }
    digits_one_by_one(decimals, values.subspan(i), digits + i);
}

} // namespace

void digits_of_all(const FixedDecimals& decimals, std::span<const double> values, std::uint64_t* digits) {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    (wide ? digits_side_by_side : digits_one_by_one)(decimals, values, digits);
}

#else

void digits_of_all(const FixedDecimals& decimals, std::span<const double> values, std::uint64_t* digits) {
    digits_one_by_one(decimals, values, digits);
}

#endif

} // namespace thresh::report

// Eight slots at a time where AVX2 is there, and what is left of them one by one.
#include "summary/slot_sums.hpp"

#include <thresh/core/nothing.hpp>

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#endif

namespace thresh::summary {

void add_values_plainly(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    for (std::size_t slot = 0; slot < slots; ++slot) {
        const bool there = value[slot] == value[slot];
        sum[slot] += there ? value[slot] : 0.0;
        n[slot] += there ? 1U : 0U;
    }
}

void divide_sums_plainly(const std::uint32_t* n, std::size_t slots, double* sum) {
    for (std::size_t slot = 0; slot < slots; ++slot)
        sum[slot] = n[slot] > 0 ? sum[slot] / n[slot] : kNothing;
}

void add_squares_plainly(const double* value, const double* mean, std::size_t slots, double* squares) {
    for (std::size_t slot = 0; slot < slots; ++slot) {
        const double off = value[slot] == value[slot] ? value[slot] - mean[slot] : 0.0;
        squares[slot] += off * off;
    }
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

#define THRESH_AVX2 __attribute__((target("avx2"), always_inline)) inline

constexpr std::size_t kTogether = 8;

// Adds four values; returns all bits set where one is there.
THRESH_AVX2 __m256d add_four(const double* value, double* sum) {
    const __m256d v = _mm256_loadu_pd(value);
    const __m256d there = _mm256_cmp_pd(v, v, _CMP_ORD_Q);
    _mm256_storeu_pd(sum, _mm256_add_pd(_mm256_loadu_pd(sum), _mm256_and_pd(v, there)));
    return there;
}

__attribute__((target("avx2"))) void add_values_wide(const double* value, std::size_t slots, double* sum,
                                                     std::uint32_t* n) {
    std::size_t slot = 0;
    for (; slot + kTogether <= slots; slot += kTogether) {
        const __m256 first = _mm256_castpd_ps(add_four(value + slot, sum + slot));
        const __m256 second = _mm256_castpd_ps(add_four(value + slot + 4, sum + slot + 4));
        // One half of each pair of 64 bits, back in their order.
        const __m256i there = _mm256_permute4x64_epi64(
            _mm256_castps_si256(_mm256_shuffle_ps(first, second, _MM_SHUFFLE(2, 0, 2, 0))),
            _MM_SHUFFLE(3, 1, 2, 0));
        auto* counts = reinterpret_cast<__m256i*>(n + slot);
        _mm256_storeu_si256(counts, _mm256_sub_epi32(_mm256_loadu_si256(counts), there)); // less -1
    }
    add_values_plainly(value + slot, slots - slot, sum + slot, n + slot);
}

__attribute__((target("avx2"))) void divide_sums_wide(const std::uint32_t* n, std::size_t slots,
                                                      double* sum) {
    const __m256d nothing = _mm256_set1_pd(kNothing);
    std::size_t slot = 0;
    for (; slot + 4 <= slots; slot += 4) {
        const __m256d count = _mm256_cvtepi32_pd(_mm_loadu_si128(reinterpret_cast<const __m128i*>(n + slot)));
        const __m256d mean = _mm256_div_pd(_mm256_loadu_pd(sum + slot), count);
        const __m256d none = _mm256_cmp_pd(count, _mm256_setzero_pd(), _CMP_EQ_OQ);
        _mm256_storeu_pd(sum + slot, _mm256_blendv_pd(mean, nothing, none));
    }
    divide_sums_plainly(n + slot, slots - slot, sum + slot);
}

__attribute__((target("avx2"))) void add_squares_wide(const double* value, const double* mean,
                                                      std::size_t slots, double* squares) {
    std::size_t slot = 0;
    for (; slot + 4 <= slots; slot += 4) {
        const __m256d v = _mm256_loadu_pd(value + slot);
        const __m256d there = _mm256_cmp_pd(v, v, _CMP_ORD_Q);
        const __m256d off = _mm256_and_pd(_mm256_sub_pd(v, _mm256_loadu_pd(mean + slot)), there);
        _mm256_storeu_pd(squares + slot,
                         _mm256_add_pd(_mm256_loadu_pd(squares + slot), _mm256_mul_pd(off, off)));
    }
    add_squares_plainly(value + slot, mean + slot, slots - slot, squares + slot);
}

bool wide() {
    static const bool kWide = __builtin_cpu_supports("avx2") != 0;
    return kWide;
}

} // namespace

void add_values(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    (wide() ? add_values_wide : add_values_plainly)(value, slots, sum, n);
}
void divide_sums(const std::uint32_t* n, std::size_t slots, double* sum) {
    (wide() ? divide_sums_wide : divide_sums_plainly)(n, slots, sum);
}
void add_squares(const double* value, const double* mean, std::size_t slots, double* squares) {
    (wide() ? add_squares_wide : add_squares_plainly)(value, mean, slots, squares);
}

#else

void add_values(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    add_values_plainly(value, slots, sum, n);
}
void divide_sums(const std::uint32_t* n, std::size_t slots, double* sum) {
    divide_sums_plainly(n, slots, sum);
}
void add_squares(const double* value, const double* mean, std::size_t slots, double* squares) {
    add_squares_plainly(value, mean, slots, squares);
}

#endif

} // namespace thresh::summary

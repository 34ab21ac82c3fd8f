// With AVX2 four numbers go through the same steps as one in FixedDecimals, without a branch. Products below
// 10^8 fit the conversion to 32 bits. Each number's eight digits, the point and the delimiter are then put in
// place by one shuffle, chosen by the count of leading zeros; a NaN has a shuffle of its own that leaves the
// delimiter alone, and a whole number is as long as what stands before its point.
#include "report/digit_lanes.hpp"

#include <array>

#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#endif

namespace thresh::report {

PutNumbers put_one_by_one(const FixedDecimals& decimals, char delimiter, std::span<const double> values,
                          std::span<const bool> whole, char* at) {
    for (std::size_t i = 0; i < values.size(); ++i) {
        char* end = at;
        *end++ = delimiter;
        if (!std::isnan(values[i])) {
            end = decimals.put(end, values[i]);
            if (end == nullptr)
                return {i, at};
            if (!whole.empty() && whole[i])
                end -= decimals.decimals() + 1;
        }
        at = end;
    }
    return {values.size(), at};
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

// By the decimals and the leading zeros of eight digits: where each byte of the text comes from, and how long
// it is. Sources: the digits 0 to 7, then the point, then the delimiter.
struct Arranged {
    static constexpr std::size_t kNaN = 8; // in the place of a count of zeros
    alignas(16) std::array<std::array<std::uint8_t, 16>, kNaN + 1> from{};
    std::array<std::array<std::uint64_t, kNaN + 1>, 2> length{}; // of numbers with decimals, of whole ones
};
constexpr std::array<Arranged, FixedDecimals::kMostDecimals + 1> kArranged = [] {
    constexpr std::uint8_t kPoint = 8, kDelimiter = 9;
    std::array<Arranged, FixedDecimals::kMostDecimals + 1> all{};
    for (unsigned decimals = 1; decimals < all.size(); ++decimals)
        for (unsigned zeros = 0; zeros <= Arranged::kNaN; ++zeros) {
            auto& from = all[decimals].from[zeros];
            std::size_t length = 0;
            from[length++] = kDelimiter;
            for (unsigned digit = zeros; digit < 8 - decimals; ++digit)
                from[length++] = static_cast<std::uint8_t>(digit);
            all[decimals].length[1][zeros] = length;
            if (zeros != Arranged::kNaN) {
                from[length++] = kPoint;
                for (unsigned digit = 8 - decimals; digit < 8; ++digit)
                    from[length++] = static_cast<std::uint8_t>(digit);
            }
            all[decimals].length[0][zeros] = length;
        }
    return all;
}();

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

// kWhole: some values may be; without it none is.
template <bool kWhole>
__attribute__((target("avx2,bmi"))) PutNumbers put_side_by_side(const FixedDecimals& decimals, char delimiter,
                                                                std::span<const double> values,
                                                                std::span<const bool> whole, char* at) {
    const __m256d scale = _mm256_set1_pd(decimals.scale()), limit = _mm256_set1_pd(decimals.limit());
    const __m256d half = _mm256_set1_pd(0.5), off = _mm256_set1_pd(0x1p-52), zero = _mm256_setzero_pd();
    const __m256d sign = _mm256_set1_pd(-0.0);
    const __m256i figures = _mm256_set1_epi8('0'); // digits as text
    const __m256i unit = _mm256_set1_epi64x(std::int64_t{1} << (8 * (7 - decimals.decimals())));
    const __m128i others = _mm_cvtsi32_si128('.' | static_cast<unsigned char>(delimiter) << 8);
    const Arranged& arranged = kArranged[decimals.decimals()];
    std::size_t i = 0;
    for (; i + 4 <= values.size(); i += 4) {
        const __m256d value = _mm256_loadu_pd(values.data() + i);
        const __m256d of_any = _mm256_mul_pd(value, scale);
        const __m256d fits = _mm256_and_pd(_mm256_cmp_pd(value, zero, _CMP_GE_OQ),
                                           _mm256_cmp_pd(of_any, limit, _CMP_LT_OQ)); // NaN does not
        const __m256d product = _mm256_and_pd(of_any, fits);
        const __m128i truncated = _mm256_cvttpd_epi32(product);
        const __m256d beyond_half =
            _mm256_sub_pd(_mm256_sub_pd(product, _mm256_cvtepi32_pd(truncated)), half);
        const __m256d near =
            _mm256_cmp_pd(_mm256_andnot_pd(sign, beyond_half), _mm256_mul_pd(product, off), _CMP_LE_OQ);
        const __m256d up = _mm256_cmp_pd(beyond_half, zero, _CMP_GT_OQ);
        const __m256i nearest = _mm256_sub_epi64(_mm256_cvtepi32_epi64(truncated), _mm256_castpd_si256(up));
        const __m256d nothing = _mm256_cmp_pd(value, value, _CMP_UNORD_Q);
        const __m256d taken = _mm256_or_pd(_mm256_andnot_pd(near, fits), nothing);
        const __m256i digits = eight_digits(nearest);
        // No bit at all stands for NaN: a number has that of the last digit before its point.
        const __m256i marked =
            _mm256_andnot_si256(_mm256_castpd_si256(nothing), _mm256_or_si256(digits, unit));
        const __m256i text = _mm256_or_si256(digits, figures);
        alignas(32) std::uint64_t marks[4];
        _mm256_store_si256(reinterpret_cast<__m256i*>(marks), marked);
        const __m128i low = _mm256_castsi256_si128(text), high = _mm256_extracti128_si256(text, 1);
        const __m128i sources[4] = {
            _mm_unpacklo_epi64(low, others), _mm_unpacklo_epi64(_mm_unpackhi_epi64(low, low), others),
            _mm_unpacklo_epi64(high, others), _mm_unpacklo_epi64(_mm_unpackhi_epi64(high, high), others)};
        const auto put = [&](std::size_t lane) __attribute__((target("avx2,bmi"), always_inline)) {
            const std::size_t zeros = _tzcnt_u64(marks[lane]) / 8;
            const __m128i from =
                _mm_load_si128(reinterpret_cast<const __m128i*>(arranged.from[zeros].data()));
            _mm_storeu_si128(reinterpret_cast<__m128i*>(at), _mm_shuffle_epi8(sources[lane], from));
            at += arranged.length[kWhole && whole[i + lane] ? 1 : 0][zeros];
        };
        if (const auto all = static_cast<unsigned>(_mm256_movemask_pd(taken)); all != 0b1111) {
            const auto first = static_cast<std::size_t>(std::countr_one(all));
            for (std::size_t lane = 0; lane < first; ++lane)
                put(lane);
            return {i + first, at};
        }
        put(0);
        put(1);
        put(2);
        put(3);
    }
    const PutNumbers rest =
        put_one_by_one(decimals, delimiter, values.subspan(i), kWhole ? whole.subspan(i) : whole, at);
    return {i + rest.count, rest.end};
}

PutNumbers put_fours(const FixedDecimals& decimals, char delimiter, std::span<const double> values,
                     std::span<const bool> whole, char* at) {
    if (!decimals.takes_numbers())
        return put_one_by_one(decimals, delimiter, values, whole, at);
    return (whole.empty() ? put_side_by_side<false> : put_side_by_side<true>)(decimals, delimiter, values,
                                                                              whole, at);
}

} // namespace

PutMany put_by_fours() {
    const bool can = __builtin_cpu_supports("avx2") != 0 && __builtin_cpu_supports("bmi") != 0;
    return can ? put_fours : nullptr;
}

#else

PutMany put_by_fours() {
    return nullptr;
}

#endif

PutNumbers put_numbers(const FixedDecimals& decimals, char delimiter, std::span<const double> values,
                       std::span<const bool> whole, char* at) {
    static const PutMany widest = [] {
        const PutMany eights = put_by_eights(), fours = put_by_fours();
        return eights != nullptr ? eights : fours != nullptr ? fours : put_one_by_one;
    }();
    return widest(decimals, delimiter, values, whole, at);
}

} // namespace thresh::report

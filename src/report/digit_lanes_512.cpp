// With AVX-512 eight numbers go through the steps of FixedDecimals at once. Four of them then lie in one
// register with their delimiters, points and leading zeros, sixteen bytes each, and one instruction pushes
// together the bytes that are text: what a number does not have (all of it for NaN, the decimals of a whole
// number, lanes behind the last value) is left out by a mask, without a branch.
#include "report/digit_lanes.hpp"

#include <algorithm>
#include <array>
#include <bit>

#if defined(__x86_64__) && defined(__GNUC__)
#if !defined(__clang__) // g++ 12 takes the registers that its own header leaves open for an oversight of ours
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
#endif
#include <immintrin.h>
#endif

namespace thresh::report {

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

#define THRESH_512 target("avx512f,avx512bw,avx512dq,avx512vl,avx512vbmi,avx512vbmi2,bmi,bmi2,popcnt")

constexpr std::size_t kSlot = 16; // bytes that a number has in the register
constexpr std::size_t kInRegister = 64 / kSlot;
constexpr std::uint64_t kDelimiters = 0x0001'0001'0001'0001U; // the first byte of every slot

// By the decimals: where each byte of four slots comes from. Below 64 it is a digit of the eight numbers.
struct Slots {
    static constexpr std::uint8_t kPoint = 64, kDelimiter = 65;
    alignas(64) std::array<std::array<std::uint8_t, 64>, 2> text{}; // of numbers 0 to 3, of 4 to 7
    // The digit on which it depends whether the byte is written: that before the point for the point, which
    // every number has.
    alignas(64) std::array<std::array<std::uint8_t, 64>, 2> kept_by{};
    std::uint64_t behind_units = 0; // bytes of point and decimals, and all that are never written
};
constexpr std::array<Slots, FixedDecimals::kMostDecimals + 1> kSlots = [] {
    std::array<Slots, FixedDecimals::kMostDecimals + 1> all{};
    for (unsigned decimals = 1; decimals < all.size(); ++decimals)
        for (unsigned number = 0; number < 8; ++number) {
            auto& text = all[decimals].text[number / kInRegister];
            auto& kept_by = all[decimals].kept_by[number / kInRegister];
            const std::size_t first = number % kInRegister * kSlot;
            const auto put = [&](std::size_t at, unsigned source, unsigned digit) {
                text[first + at] = static_cast<std::uint8_t>(source);
                kept_by[first + at] = static_cast<std::uint8_t>(8 * number + digit);
            };
            const unsigned point = 9 - decimals;
            put(0, Slots::kDelimiter, 0);
            for (unsigned digit = 0; digit < 8; ++digit)
                put(digit + (digit + 1 < point ? 1 : 2), 8 * number + digit, digit);
            put(point, Slots::kPoint, point - 2);
            if (number < kInRegister)
                for (std::size_t at = point; at < kSlot; ++at)
                    all[decimals].behind_units |= std::uint64_t{1} << (first + at);
        }
    return all;
}();
constexpr std::uint64_t kWritten = 0x03fe'03fe'03fe'03feU; // bytes of slots that may be digits or a point

// As FixedDecimals::eight_digits, lane by lane.
__attribute__((THRESH_512, always_inline)) inline __m512i eight_digits(__m512i n) {
    // n / 10000, exact for all of 32 bits
    const __m512i high = _mm512_srli_epi64(_mm512_mul_epu32(n, _mm512_set1_epi64(3518437209)), 45);
    const __m512i low = _mm512_sub_epi64(n, _mm512_mul_epu32(high, _mm512_set1_epi64(10000)));
    const __m512i halves = _mm512_or_si512(high, _mm512_slli_epi64(low, 32));
    const __m512i hundreds = _mm512_srli_epi32(_mm512_mullo_epi32(halves, _mm512_set1_epi32(10486)), 20);
    const __m512i rest = _mm512_sub_epi32(halves, _mm512_mullo_epi16(hundreds, _mm512_set1_epi32(100)));
    const __m512i pairs = _mm512_or_si512(hundreds, _mm512_slli_epi32(rest, 16));
    const __m512i tens = _mm512_srli_epi16(_mm512_mullo_epi16(pairs, _mm512_set1_epi16(103)), 10);
    const __m512i ones = _mm512_sub_epi16(pairs, _mm512_mullo_epi16(tens, _mm512_set1_epi16(10)));
    return _mm512_or_si512(tens, _mm512_slli_epi16(ones, 8));
}

__attribute__((THRESH_512)) PutNumbers put_eights(const FixedDecimals& decimals, char delimiter,
                                                  std::span<const double> values, std::span<const bool> whole,
                                                  char* at) {
    // Whole registers are stored: with three values there is room for one, and more of it with each.
    static_assert(3 * kRoomOfNumber >= 64 && kRoomOfNumber >= kSlot);
    if (values.size() < 3 || !decimals.takes_numbers())
        return put_one_by_one(decimals, delimiter, values, whole, at);
    const __m512d scale = _mm512_set1_pd(decimals.scale()), limit = _mm512_set1_pd(decimals.limit());
    const __m512d half = _mm512_set1_pd(0.5), off = _mm512_set1_pd(0x1p-52), zero = _mm512_setzero_pd();
    const __m512i unit = _mm512_set1_epi64(std::int64_t{1} << (8 * (7 - decimals.decimals())));
    const __m512i others = _mm512_set1_epi16(
        static_cast<short>('.' | static_cast<unsigned char>(delimiter) << 8)); // kPoint, kDelimiter
    const Slots& slots = kSlots[decimals.decimals()];
    for (std::size_t i = 0; i < values.size(); i += 8) {
        const std::size_t count = std::min<std::size_t>(8, values.size() - i);
        const auto here = static_cast<__mmask8>(0xffU >> (8 - count));
        const __m512d value = _mm512_maskz_loadu_pd(here, values.data() + i);
        const __m512d of_any = _mm512_mul_pd(value, scale);
        const __mmask8 fits = _mm512_mask_cmp_pd_mask(_mm512_cmp_pd_mask(value, zero, _CMP_GE_OQ), of_any,
                                                      limit, _CMP_LT_OQ); // NaN does not
        const __m512d product = _mm512_maskz_mov_pd(fits, of_any);
        const __m512i truncated = _mm512_cvttpd_epi64(product);
        const __m512d beyond_half =
            _mm512_sub_pd(_mm512_sub_pd(product, _mm512_cvtepi64_pd(truncated)), half);
        const __mmask8 near =
            _mm512_cmp_pd_mask(_mm512_abs_pd(beyond_half), _mm512_mul_pd(product, off), _CMP_LE_OQ);
        const __mmask8 up = _mm512_cmp_pd_mask(beyond_half, zero, _CMP_GT_OQ);
        const __m512i nearest = _mm512_mask_add_epi64(truncated, up, truncated, _mm512_set1_epi64(1));
        const __mmask8 nothing = _mm512_cmp_pd_mask(value, value, _CMP_UNORD_Q);
        const auto taken =
            static_cast<unsigned>(nothing) | (static_cast<unsigned>(fits) & ~static_cast<unsigned>(near));
        if (taken != 0xff) {
            const auto first = static_cast<std::size_t>(std::countr_one(taken));
            const PutNumbers some = put_one_by_one(decimals, delimiter, values.subspan(i, first),
                                                   whole.empty() ? whole : whole.subspan(i, first), at);
            return {i + some.count, some.end};
        }
        const __m512i digits = eight_digits(nearest);
        const __m512i text = _mm512_or_si512(digits, _mm512_set1_epi8('0'));
        // From the first digit that is no leading zero on, all bytes of a number become other than zero.
        const auto numbers = static_cast<__mmask8>(here & ~nothing);
        const __m512i first_on = _mm512_maskz_or_epi64(numbers, digits, unit);
        const __m512i kept = _mm512_or_si512(first_on, _mm512_sub_epi64(_mm512_setzero_si512(), first_on));
        const unsigned integers =
            whole.empty() ? 0U
                          : _mm_test_epi8_mask(
                                _mm_maskz_loadu_epi8(here, reinterpret_cast<const char*>(whole.data() + i)),
                                _mm_set1_epi8(1));
        for (std::size_t part = 0; part * kInRegister < count; ++part) {
            const __m512i by = _mm512_permutexvar_epi8(_mm512_load_si512(slots.kept_by[part].data()), kept);
            const std::uint64_t delimiters = _pdep_u64(here >> (part * kInRegister), kDelimiters);
            const std::uint64_t of_integers =
                _pdep_u64(integers >> (part * kInRegister), kDelimiters) * 0xffffU;
            const std::uint64_t mask =
                delimiters | (_mm512_test_epi8_mask(by, by) & kWritten & ~(of_integers & slots.behind_units));
            const __m512i bytes =
                _mm512_permutex2var_epi8(text, _mm512_load_si512(slots.text[part].data()), others);
            _mm512_storeu_si512(at, _mm512_maskz_compress_epi8(mask, bytes));
            at += std::popcount(mask);
        }
    }
    return {values.size(), at};
}

} // namespace

PutMany put_by_eights() {
    const bool can = __builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512bw") != 0 &&
                     __builtin_cpu_supports("avx512dq") != 0 && __builtin_cpu_supports("avx512vl") != 0 &&
                     __builtin_cpu_supports("avx512vbmi") != 0 &&
                     __builtin_cpu_supports("avx512vbmi2") != 0 && __builtin_cpu_supports("bmi") != 0 &&
                     __builtin_cpu_supports("bmi2") != 0 && __builtin_cpu_supports("popcnt") != 0;
    return can ? put_eights : nullptr;
}

#else

PutMany put_by_eights() {
    return nullptr;
}

#endif

} // namespace thresh::report

// With AVX-512 a step of the scan is one register: a comparison gives its bits, and one instruction pushes
// the offsets of all needles together, so that they need not be taken out of the bits one by one.
#include "intake/scan_ways.hpp"

#if defined(__x86_64__) && defined(__GNUC__)
#if !defined(__clang__) // g++ 12 takes the registers that its own header leaves open for an oversight of ours
#pragma GCC diagnostic ignored "-Wmaybe-uninitialized"
#endif
#include <array>
#include <immintrin.h>
#endif

namespace thresh::intake {

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

#define THRESH_512 __attribute__((target("avx512f,avx512bw,avx512vbmi2,bmi,popcnt")))

constexpr std::size_t kInRegister = 16; // offsets of 32 bits

// Sixteen offsets are written at once, needed or not; that a step holds more is rare.
THRESH_512 inline void write_offsets(__mmask64 bits, std::size_t count, std::size_t at, std::uint32_t* to) {
    alignas(64) static constexpr auto kNumbers = [] {
        std::array<std::uint8_t, kScanStep> numbers{};
        for (std::size_t i = 0; i < numbers.size(); ++i)
            numbers[i] = static_cast<std::uint8_t>(i);
        return numbers;
    }();
    const __m512i offsets = _mm512_maskz_compress_epi8(bits, _mm512_load_si512(kNumbers.data()));
    const __m512i begin = _mm512_set1_epi32(static_cast<int>(at));
    _mm512_storeu_si512(to, _mm512_add_epi32(_mm512_cvtepu8_epi32(_mm512_castsi512_si128(offsets)), begin));
    if (count <= kInRegister) [[likely]]
        return;
    alignas(64) std::uint8_t all[kScanStep];
    _mm512_store_si512(all, offsets);
    for (std::size_t i = kInRegister; i < count; ++i)
        to[i] = static_cast<std::uint32_t>(at) + all[i];
}

THRESH_512 Survey scan_512(std::string_view text, std::size_t origin, Dialect dialect, Rows& rows) {
    const __m512i delimiter = _mm512_set1_epi8(dialect.delimiter), feed = _mm512_set1_epi8('\n'),
                  quote = _mm512_set1_epi8(dialect.quote), back = _mm512_set1_epi8('\r');
    __mmask64 zeros = 0, backs = 0, quotes = 0, beyond_ascii = 0;
    std::size_t cells = 0, at = origin;
    for (; at + kScanStep <= text.size(); at += kScanStep) {
        const __m512i bytes = _mm512_loadu_si512(text.data() + at);
        std::uint64_t feeds = _mm512_cmpeq_epi8_mask(bytes, feed);
        const std::uint64_t hits = _mm512_cmpeq_epi8_mask(bytes, delimiter) | feeds;
        zeros |= _mm512_testn_epi8_mask(bytes, bytes);
        backs |= _mm512_cmpeq_epi8_mask(bytes, back);
        quotes |= _mm512_cmpeq_epi8_mask(bytes, quote);
        beyond_ascii |= _mm512_movepi8_mask(bytes);
        for (; feeds != 0; feeds = _blsr_u64(feeds))
            rows.row_last.push_back(static_cast<std::uint32_t>(
                cells + static_cast<std::size_t>(_mm_popcnt_u64(hits & _blsmsk_u64(feeds))) - 1));
        const auto count = static_cast<std::size_t>(_mm_popcnt_u64(hits));
        write_offsets(hits, count, at, rows.ends.data() + cells);
        cells += count;
    }
    Survey survey = scan_bytes(text, at, cells, dialect, rows);
    survey.zero = survey.zero || zeros != 0;
    survey.carriage_return = survey.carriage_return || backs != 0;
    survey.quote = survey.quote || (dialect.quote != '\0' && quotes != 0);
    survey.beyond_ascii = survey.beyond_ascii || beyond_ascii != 0;
    return survey;
}

#undef THRESH_512

} // namespace

ScanWay scan_by_steps() {
    const bool can = __builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512bw") != 0 &&
                     __builtin_cpu_supports("avx512vbmi2") != 0 && __builtin_cpu_supports("bmi") != 0 &&
                     __builtin_cpu_supports("popcnt") != 0;
    return can ? scan_512 : nullptr;
}

#else

ScanWay scan_by_steps() {
    return nullptr;
}

#endif

} // namespace thresh::intake

// Numbers as text. With a fixed number of decimals the product value * 10^digits is taken exactly, as a
// double and its remainder (fused multiply-add), so that nearest and ties-to-even hold for the binary value
// itself. Products of 2^52 and more go to std::to_chars, which is exact for any size.
#include "report/fixed_decimals.hpp"

#include <thresh/report/write.hpp>

#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <thresh/core/cell.hpp>

namespace thresh::report {

namespace {

constexpr auto kPairs = [] {
    std::array<char, 200> pairs{};
    for (unsigned i = 0; i < 100; ++i) {
        pairs[2 * i] = static_cast<char>('0' + i / 10);
        pairs[2 * i + 1] = static_cast<char>('0' + i % 10);
    }
    return pairs;
}();

// The integer nearest to x * scale, ties to even, on the exact product. Precondition: x >= 0 and the product
// below 2^52.
std::uint64_t scaled_nearest(double x, double scale) {
    const double product = x * scale;
    const auto whole = static_cast<std::uint64_t>(product);
    const double beyond_half = product - static_cast<double>(whole) - 0.5; // exact
    // The product is off by at most half a unit in its last place, 2^-53 of itself: away from the middle by
    // more than that, the rounded product decides.
    if (std::fabs(beyond_half) > product * 0x1p-52)
        return whole + (beyond_half > 0 ? 1U : 0U);
    const double rest = std::fma(x, scale, -product); // exact
    const double decision = beyond_half + rest;
    if (decision == 0)
        return whole + (whole & 1U);
    return whole + (decision > 0 ? 1U : 0U);
}

// `digits` as decimal with `decimals` places; at least one digit before the point.
void append_scaled(std::string& into, bool negative, std::uint64_t digits, unsigned decimals) {
    char buffer[40];
    char* at = buffer + sizeof buffer;
    unsigned written = 0;
    const auto put = [&](char digit) {
        if (written == decimals && decimals > 0)
            *--at = '.';
        *--at = digit;
        ++written;
    };
    while (digits >= 100) {
        const std::uint64_t pair = digits % 100;
        digits /= 100;
        put(kPairs[2 * pair + 1]);
        put(kPairs[2 * pair]);
    }
    if (digits >= 10) {
        put(kPairs[2 * digits + 1]);
        put(kPairs[2 * digits]);
    } else {
        put(static_cast<char>('0' + digits));
    }
    while (written <= decimals)
        put('0');
    if (negative)
        *--at = '-';
    into.append(at, static_cast<std::size_t>(buffer + sizeof buffer - at));
}

void append_fixed_any_size(std::string& into, double value, int digits) {
    char buffer[400]; // 309 digits, sign, point, decimals
    const auto [end, error] =
        std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, std::min(digits, 60));
    if (error == std::errc{})
        into.append(buffer, end);
}

} // namespace

int decimals_to_show(double value, int digits, int significant) {
    constexpr int kMost = 17;
    const double magnitude = std::fabs(value);
    if (significant == 0 || magnitude == 0)
        return digits;
    // Where the last of so many digits stands; what is lower than that rounds away.
    const int first = static_cast<int>(std::floor(std::log10(magnitude)));
    return std::clamp(significant - 1 - first, digits, std::max(digits, kMost));
}

void append_number(std::string& into, double value, std::optional<int> digits) {
    if (!digits) {
        fmt::format_to(std::back_inserter(into), "{}", value == 0 ? 0.0 : value);
        return;
    }
    char buffer[FixedDecimals::kRoom];
    if (const char* end = FixedDecimals(*digits).put(buffer, value)) {
        into.append(buffer, static_cast<std::size_t>(end - buffer));
        return;
    }
    constexpr int kMaxFast = 9;
    const double magnitude = std::fabs(value);
    if (*digits <= kMaxFast && magnitude * kPowersOfTen[*digits] < 0x1p52) {
        const std::uint64_t scaled = scaled_nearest(magnitude, kPowersOfTen[*digits]);
        append_scaled(into, value < 0 && scaled != 0, scaled, static_cast<unsigned>(*digits));
        return;
    }
    const std::size_t start = into.size();
    append_fixed_any_size(into, value, *digits);
    if (value <= 0 && into.find_first_of("123456789", start) == std::string::npos && into[start] == '-')
        into.erase(start, 1); // never -0
}

} // namespace thresh::report

// Most numbers of a table are neither negative nor large nor near the middle between two neighbours: those
// are written here, inline and almost without a branch. What is not such a number is left to append_number,
// whose text is the measure of this one (tests/unit/report/fast_cells_test.cpp).
#pragma once

#include <thresh/core/cell.hpp>

#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>

namespace thresh::report {

class FixedDecimals {
  public:
    static constexpr int kMostDecimals = 7;
    // Bytes from `at` on that put() may write to, whatever it returns.
    static constexpr std::size_t kRoom = 24;

    // `decimals` outside 1..kMostDecimals: put() takes no number.
    explicit FixedDecimals(int decimals)
        : decimals_(static_cast<unsigned>(decimals)), scale_(takes(decimals) ? kPowersOfTen[decimals] : 1),
          limit_(takes(decimals) ? 99'999'999.0 : -1) {}

    // The eight digits of `value`, one a byte, the first in the lowest; kNotHere when it is not for here. NaN
    // is not.
    static constexpr std::uint64_t kNotHere = ~std::uint64_t{0};
    std::uint64_t digits_of(double value) const {
        const double product = value * scale_;
        if (!(value >= 0 && product < limit_)) // NaN too
            return kNotHere;
        const auto whole = static_cast<std::int64_t>(product);
        const double beyond_half = product - static_cast<double>(whole) - 0.5; // exact
        // The product is off by at most half a unit in its last place, 2^-53 of itself: away from the middle
        // by more than that, it tells the neighbour of the exact product as well.
        if (std::fabs(beyond_half) <= product * 0x1p-52)
            return kNotHere;
        return eight_digits(static_cast<std::uint64_t>(whole) + (beyond_half > 0 ? 1U : 0U));
    }

    // Writes a value that has such digits and returns the end. Leading zeros are shifted out, all but that
    // before the point.
    char* put_digits(char* at, std::uint64_t digits) const {
        const std::uint64_t ascii = digits | 0x3030303030303030U;
        const std::uint64_t unit = std::uint64_t{1} << (8 * (7 - decimals_));
        const auto zeros = static_cast<unsigned>(std::countr_zero(digits | unit)) / 8;
        const unsigned before_point = 8 - decimals_ - zeros;
        const std::uint64_t all = ascii >> (8 * zeros);
        const std::uint64_t fraction = ascii >> (8 * (8 - decimals_));
        std::memcpy(at, &all, 8);
        at[before_point] = '.';
        std::memcpy(at + before_point + 1, &fraction, 8);
        return at + before_point + 1 + decimals_;
    }

    // Writes `value` and returns the end; nullptr when it is not for here.
    char* put(char* at, double value) const {
        const std::uint64_t digits = digits_of(value);
        return digits == kNotHere ? nullptr : put_digits(at, digits);
    }

    bool takes_numbers() const { return limit_ > 0; }
    // Meaningful where takes_numbers().
    unsigned decimals() const { return decimals_; }
    // What a value is multiplied by, and what the product must stay below.
    double scale() const { return scale_; }
    double limit() const { return limit_; }

    // Precondition: n < 10^8. Eight digits stand in one word, the first in its lowest byte.
    // Halves of four digits, then pairs, then digits, side by side in the lanes of one word. The products
    // stand for divisions by 100 and 10 that are exact below 10,000 and 100.
    static std::uint64_t eight_digits(std::uint64_t n) {
        const std::uint64_t halves = n / 10000 | (n % 10000) << 32;
        const std::uint64_t hundreds = (halves * 10486 >> 20) & 0x0000007F0000007FU;
        const std::uint64_t pairs = hundreds | (halves - hundreds * 100) << 16;
        const std::uint64_t tens = (pairs * 103 >> 10) & 0x000F000F000F000FU;
        return tens | (pairs - tens * 10) << 8;
    }

  private:
    static constexpr bool takes(int decimals) {
        return std::endian::native == std::endian::little && decimals >= 1 && decimals <= kMostDecimals;
    }

    unsigned decimals_;
    double scale_, limit_;
};

} // namespace thresh::report

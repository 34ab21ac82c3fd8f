// One exported number, exactly as exported: a decimal of up to eight digits in 32 bits, or why there is none.
// Keeping decimals instead of doubles keeps the exported digits, halves the memory, and loses nothing:
// digits / 10^k is the correctly rounded double because both are exact in a double.
#pragma once

#include <thresh/core/nothing.hpp>

#include <cassert>
#include <cstdint>

namespace thresh {

enum class CellState : std::uint8_t {
    number,
    missing,     // blank, NA, ND, -
    below_limit, // `<0.05`: side table holds the limit and the text
    unreadable,  // neither number nor missing mark: side table holds the text
    doubtful     // could not be settled (decimal mark, unit): empty until settled; side table holds the text
};

// Encoding: the low four bits (kTagBits) are a tag, the upper 28 a signed payload.
// Tag 0..9: a number, payload / 10^tag. Other tags: a state; payload = index into the block's side table.
class Cell {
  public:
    static constexpr std::int32_t kMaxDigits = (1 << 27) - 1; // largest payload
    static constexpr unsigned kMaxDecimals = 9;
    static constexpr int kTagBits = 4;
    // What the payload is divided by, by tag; NaN where there is no number.
    static constexpr double kDivisors[] = {1e0,      1e1,      1e2,      1e3,     1e4,      1e5,
                                           1e6,      1e7,      1e8,      1e9,     kNothing, kNothing,
                                           kNothing, kNothing, kNothing, kNothing};

    constexpr Cell() = default; // missing

    // Preconditions: |digits| <= kMaxDigits, decimals <= kMaxDecimals.
    static constexpr Cell decimal(std::int32_t digits, unsigned decimals) { return Cell(digits, decimals); }
    // A number that does not fit (exponents, nine digits and more): the double stands in the side table.
    static constexpr Cell wide(std::uint32_t side) { return Cell(static_cast<std::int32_t>(side), kWide); }
    static constexpr Cell below_limit(std::uint32_t side) {
        return Cell(static_cast<std::int32_t>(side), kBelow);
    }
    static constexpr Cell unreadable(std::uint32_t side) {
        return Cell(static_cast<std::int32_t>(side), kUnreadable);
    }
    static constexpr Cell doubtful(std::uint32_t side) {
        return Cell(static_cast<std::int32_t>(side), kDoubtful);
    }

    constexpr CellState state() const {
        switch (tag()) {
        case kMissing:
            return CellState::missing;
        case kBelow:
            return CellState::below_limit;
        case kUnreadable:
            return CellState::unreadable;
        case kDoubtful:
            return CellState::doubtful;
        default:
            return CellState::number;
        }
    }
    constexpr bool is_number() const { return tag() <= kWide; }
    constexpr bool is_decimal() const { return tag() <= kMaxDecimals; } // a number that fits the cell
    constexpr bool is_missing() const { return tag() == kMissing; }

    // Precondition for both: is_decimal().
    constexpr std::int32_t digits() const { return bits_ >> 4; }
    constexpr unsigned decimals() const { return tag(); }
    // Index into the block's side table. Precondition: neither a decimal nor missing.
    constexpr std::uint32_t side() const {
        assert(tag() > kMaxDecimals && tag() != kMissing);
        return static_cast<std::uint32_t>(bits_) >> 4;
    }
    // The number of a decimal, NaN for all else, without a branch; and whether something else than a decimal
    // may still have a number, in the side table. For hot loops.
    double or_nan() const { return (bits_ >> 4) / kDivisors[tag()]; }
    constexpr bool beside() const { return tag() == kWide || tag() == kBelow; }
    // Cells of equal decimals() compare as their numbers do.
    constexpr std::int32_t bits() const { return bits_; }
    friend constexpr bool operator==(const Cell&, const Cell&) = default;

  private:
    static constexpr unsigned kWide = 10, kBelow = 11, kUnreadable = 12, kDoubtful = 13, kMissing = 15;

    constexpr Cell(std::int32_t payload, unsigned tag)
        : bits_(static_cast<std::int32_t>(static_cast<std::uint32_t>(payload) << 4 | tag)) {}
    constexpr unsigned tag() const { return static_cast<unsigned>(bits_) & 15U; }

    std::int32_t bits_ = static_cast<std::int32_t>(kMissing);
};

inline constexpr double kPowersOfTen[] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};

// The correctly rounded double of a decimal cell. Precondition: cell.is_decimal().
constexpr double to_double(Cell cell) {
    return cell.digits() / kPowersOfTen[cell.decimals()];
}

} // namespace thresh

// Bounds of cells told by comparing whole numbers, without the division that makes a number of a cell. Most
// cells of most readings lie well within their bounds; only the others need a closer look.
#pragma once

#include <thresh/core/readings.hpp>

#include <array>
#include <cstdint>
#include <limits>
#include <vector>

namespace thresh::rules {

// Cells that certainly lie within bounds once multiplied by a factor, told by comparing whole numbers. What
// it does not hold may still lie within: look closer.
class CellWindow {
  public:
    // Holds missing cells only.
    CellWindow();
    // For every factor between the two, both > 0; `low` and `high` may be infinite.
    CellWindow(double low, double high, double factor, double other_factor);
    CellWindow(double low, double high, double factor) : CellWindow(low, high, factor, factor) {}
    bool holds(Cell cell) const {
        const auto tag = static_cast<unsigned>(cell.bits()) & 15U;
        return cell.bits() >= low_[tag] && cell.bits() <= high_[tag];
    }
    // Cell::bits of decimals so long lies between the two when the cell is held.
    std::int32_t low(unsigned decimals) const { return low_[decimals]; }
    std::int32_t high(unsigned decimals) const { return high_[decimals]; }

  private:
    std::array<std::int32_t, 16> low_{}, high_{}; // by the last four bits of Cell::bits
};

// By column of a block: the decimals of the first number at or soon behind row `first`; 0 where there is
// none.
std::vector<unsigned> usual_decimals(const Block& block, std::size_t first);

// The windows of a table's columns, for a row as a whole.
class RowWindows {
  public:
    // Holds every row. The decimals that a column of `block` has near row `first` are taken to be those it
    // has throughout: cells of others are not held, so a wrong guess costs time only.
    RowWindows(const Block& block, std::size_t first);

    // From now on a row is held only when the cell of `column` lies within `window` too or, where it may be,
    // is missing.
    enum class Missing : std::uint8_t { held, not_held };
    void set(std::size_t column, const CellWindow& window, Missing missing = Missing::held);
    void hold_none() { none_ = yes(true); }

    // Whether every cell of the row is held. When not, the cells may still lie within their windows.
    bool hold(const Block& block, std::size_t row) const {
        const Cell* cells = block.cells.data() + row * tag_mask_.size();
        std::int32_t outside = none_;
        for (std::size_t c = first_; c < last_; ++c) { // whole numbers without a branch: several at once
            const std::int32_t bits = cells[c].bits();
            const std::int32_t beyond =
                yes((bits & tag_mask_[c]) != tag_[c]) | yes(bits < low_[c]) | yes(bits > high_[c]);
            outside |= beyond & yes(bits != missing_[c]);
        }
        return outside == 0;
    }

  private:
    friend class PlainRows;
    static constexpr std::int32_t yes(bool is) { return is ? -1 : 0; }
    static constexpr std::int32_t kNoCell = std::numeric_limits<std::int32_t>::max(); // bits of no cell

    std::int32_t none_ = 0;            // yes: no row is held
    std::size_t first_ = 0, last_ = 0; // columns that were set lie between
    // By column: what the last bits of a cell must be, between which bounds it must lie as a whole, and what
    // it may be instead.
    std::vector<std::int32_t> tag_mask_, tag_, low_, high_, missing_;
    std::vector<unsigned> decimals_;
};

// Rows in which a sum of decimals certainly lies within bounds, or has no value because a cell that it needs
// is missing; told by adding whole numbers. Where a cell has other decimals than usual the sum may still lie
// within.
class SumWindow {
  public:
    // The cells of `needed` and, where they are not missing, those of `more`, as they stand. Usual decimals:
    // as for RowWindows.
    SumWindow(const Block& block, std::size_t first, const std::vector<std::uint32_t>& needed,
              const std::vector<std::uint32_t>& more, double low, double high);

    bool holds(const Block& block, std::size_t row) const {
        const Cell* cells = block.cells.data() + row * width_;
        std::int32_t other_tag = 0;
        bool no_sum = false;
        std::int64_t sum = 0;
        for (const Summand& one : summands_) {
            const std::int32_t bits = cells[one.column].bits();
            const bool missing = bits == Cell().bits(); // as a number: nothing
            no_sum |= missing & one.needed;
            other_tag |= missing ? 0 : (bits & kTags) ^ one.tag;
            sum += std::int64_t{bits >> Cell::kTagBits} * one.scale;
        }
        return other_tag == 0 && (no_sum || (sum >= low_ && sum <= high_));
    }

  private:
    friend class PlainRows;
    static constexpr std::int32_t kTags = (1 << Cell::kTagBits) - 1;
    static_assert(Cell().bits() >> Cell::kTagBits == 0);
    struct Summand {
        std::uint32_t column;
        std::int32_t tag;
        bool needed;
        std::int64_t scale; // to the decimals of the one that has most
    };
    std::size_t width_;
    std::vector<Summand> summands_;
    std::int64_t low_, high_;
};

} // namespace thresh::rules

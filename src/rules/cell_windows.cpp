#include "rules/cell_windows.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace thresh::rules {

CellWindow::CellWindow() {
    const Cell missing;
    low_.fill(std::numeric_limits<std::int32_t>::max());
    high_.fill(std::numeric_limits<std::int32_t>::min());
    low_[static_cast<unsigned>(missing.bits()) & 15U] = missing.bits();
    high_[static_cast<unsigned>(missing.bits()) & 15U] = missing.bits();
}

// One unit of the last place is kept off both bounds, so that no rounding of the product matters.
CellWindow::CellWindow(double low, double high, double factor, double other_factor) : CellWindow() {
    const double from = std::max(low / factor, low / other_factor);
    const double to = std::min(high / factor, high / other_factor);
    for (unsigned decimals = 0; decimals <= Cell::kMaxDecimals; ++decimals) {
        const double most = Cell::kMaxDigits;
        const double first = std::ceil(from * kPowersOfTen[decimals]) + 1;
        const double last = std::floor(to * kPowersOfTen[decimals]) - 1;
        if (!(first <= last) || first > most || last < -most)
            continue;
        low_[decimals] = Cell::decimal(static_cast<std::int32_t>(std::max(first, -most)), decimals).bits();
        high_[decimals] = Cell::decimal(static_cast<std::int32_t>(std::min(last, most)), decimals).bits();
    }
}

namespace {

// Of the first decimal of a column at or soon behind row `first`.
unsigned usual_decimals(const Block& block, std::size_t first, std::size_t column) {
    constexpr std::size_t kLookedAt = 32;
    for (std::size_t row = first; row < std::min(block.rows, first + kLookedAt); ++row)
        if (const Cell cell = block.cell(row, column); cell.is_decimal())
            return cell.decimals();
    return 0;
}

} // namespace

std::vector<unsigned> usual_decimals(const Block& block, std::size_t first) {
    std::vector<unsigned> decimals(block.table->numbers.size());
    for (std::size_t c = 0; c < decimals.size(); ++c)
        decimals[c] = usual_decimals(block, first, c);
    return decimals;
}

RowWindows::RowWindows(const Block& block, std::size_t first)
    : tag_mask_(block.table->numbers.size(), 0), tag_(tag_mask_.size(), 0),
      low_(tag_mask_.size(), std::numeric_limits<std::int32_t>::min()),
      high_(tag_mask_.size(), std::numeric_limits<std::int32_t>::max()),
      missing_(tag_mask_.size(), Cell().bits()), decimals_(usual_decimals(block, first)) {}

void RowWindows::set(std::size_t column, const CellWindow& window, Missing missing) {
    tag_mask_[column] = (1 << Cell::kTagBits) - 1;
    tag_[column] = static_cast<std::int32_t>(decimals_[column]);
    low_[column] = std::max(low_[column], window.low(decimals_[column]));
    high_[column] = std::min(high_[column], window.high(decimals_[column]));
    if (missing == Missing::not_held)
        missing_[column] = kNoCell;
    first_ = last_ == 0 ? column : std::min(first_, column);
    last_ = std::max(last_, column + 1);
}

// One unit of the last place is kept off both bounds, so that no rounding of a sum of doubles matters.
SumWindow::SumWindow(const Block& block, std::size_t first, const std::vector<std::uint32_t>& needed,
                     const std::vector<std::uint32_t>& more, double low, double high)
    : width_(block.table->numbers.size()) {
    unsigned most = 0;
    for (const auto* columns : {&needed, &more})
        for (const std::uint32_t column : *columns) {
            const unsigned decimals = usual_decimals(block, first, column);
            summands_.push_back({column, static_cast<std::int32_t>(decimals), columns == &needed, 1});
            most = std::max(most, decimals);
        }
    for (Summand& one : summands_)
        one.scale = static_cast<std::int64_t>(kPowersOfTen[most - static_cast<unsigned>(one.tag)]);
    constexpr double kMost = 1e18; // beyond every sum
    low_ = static_cast<std::int64_t>(std::max(-kMost, std::ceil(low * kPowersOfTen[most]) + 1));
    high_ = static_cast<std::int64_t>(std::min(kMost, std::floor(high * kPowersOfTen[most]) - 1));
}

} // namespace thresh::rules

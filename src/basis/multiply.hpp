// Many cells to numbers at once.
#pragma once

#include <thresh/core/cell.hpp>

#include <cstddef>

namespace thresh::basis {

// What stands in place of a column's own factor, which is never negative, where the row's is taken.
inline constexpr double kFactorOfRow = -1;

// So many are taken at once.
inline constexpr std::size_t kAtOnce = 8;
constexpr std::size_t room_for(std::size_t count) {
    return (count + kAtOnce - 1) / kAtOnce * kAtOnce;
}

// values[i] = the number of cells[i] (NaN where it is no decimal) times its factor: own[i] or, where that is
// kFactorOfRow, `of_row`. True when some cell may have its number beside it (Cell::beside).
// `own` and `values` have room_for(count); what is written behind `count` means nothing.
bool multiply(const Cell* cells, const double* own, double of_row, std::size_t count, double* values);

// The same one by one, for processors without AVX2 and for tests.
bool multiply_plainly(const Cell* cells, const double* own, double of_row, std::size_t count, double* values);

} // namespace thresh::basis

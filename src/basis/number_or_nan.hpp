// The number of a cell, for hot loops.
#pragma once

#include <thresh/core/nothing.hpp>
#include <thresh/core/readings.hpp>

namespace thresh::basis {

// A decimal, a wide number, or the share `of_limit` of its limit that a value below it counts for (NaN: it
// has none); NaN where there is none.
inline double number_or_nan(const Block& block, Cell cell, double of_limit = kNothing) {
    if (!cell.beside()) // nearly all
        return cell.or_nan();
    const double value = block.side[cell.side()].value;
    return cell.state() == CellState::below_limit ? value * of_limit : value;
}

} // namespace thresh::basis

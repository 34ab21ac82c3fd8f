// Where a table's cells are that are neither missing nor decimals: few of millions, found in one pass.
#pragma once

#include "intake/part.hpp"
#include "intake/settle.hpp"

namespace thresh::intake {

inline bool has_side(Cell cell) {
    return !cell.is_missing() && !cell.is_decimal();
}

struct SidePlace {
    std::uint32_t part, block, row;
};

// By column, in the order of the rows. A workbook's own numbers are left out.
std::vector<std::vector<SidePlace>> side_places(const TableData& table, unsigned threads);

} // namespace thresh::intake

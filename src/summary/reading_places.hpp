// Where readings stand, as tables name it.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

// The `source` of each block's readings: the file, with [sheet] where several sheets of it hold readings, so
// that source and row always name one reading.
std::vector<std::string> block_sources(const batch::Batch& batch);

inline std::size_t block_index(const batch::Batch& batch, RowId row) {
    return static_cast<std::size_t>(&batch.block_of(row) - batch.readings.blocks.data());
}

// `A`, `Z`, `AA`: the letters of a sheet column, counted from 0.
std::string column_letters(std::uint32_t position);
// `week32.csv:14:3` or `week32.xlsx[Sheet1]!C14`; `position` counts from 0.
std::string cell_place(const batch::Batch& batch, RowId row, std::uint32_t position);

} // namespace thresh::summary

// How findings name the row of a reading.
#pragma once

#include "rules/rule.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::rules {

// Whether readings of the block's file stand on several sheets: then `source` names the sheet as well, here
// as in the tables and in decisions.
inline bool of_several_sheets(const Evidence& evidence, const Block& block) {
    const auto& blocks = evidence.batch.readings.blocks;
    // The blocks of a file stand together.
    const Block *first = &block, *last = &block;
    while (first != blocks.data() && first[-1].file == block.file)
        --first;
    while (last != &blocks.back() && last[1].file == block.file)
        ++last;
    return std::any_of(first, last + 1, [&](const Block& b) { return b.sheet != block.sheet; });
}

// `exports/day1.csv:3`, `day1.xlsx[East]:3`
inline std::string row_place(const Evidence& evidence, RowId row) {
    const Block& block = evidence.batch.block_of(row);
    const std::string sheet =
        of_several_sheets(evidence, block) ? fmt::format("[{}]", block.sheet) : std::string();
    return fmt::format("{}{}:{}", evidence.batch.readings.files[block.file].source, sheet,
                       block.line[evidence.batch.in_block(row)]);
}

// Where `other` stands, told beside `row`: `line 3` when they are of one table.
inline std::string place_beside(const Evidence& evidence, RowId row, RowId other) {
    const Block &own = evidence.batch.block_of(row), &block = evidence.batch.block_of(other);
    return own.file == block.file && own.sheet == block.sheet
               ? fmt::format("line {}", block.line[evidence.batch.in_block(other)])
               : row_place(evidence, other);
}

} // namespace thresh::rules

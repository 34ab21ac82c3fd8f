// How findings name the row of a reading.
#pragma once

#include "rules/rule.hpp"

#include <fmt/format.h>

namespace thresh::rules {

// `exports/day1.csv:3`
inline std::string row_place(const Evidence& evidence, RowId row) {
    const Block& block = evidence.batch.block_of(row);
    return fmt::format("{}:{}", evidence.batch.readings.files[block.file].source,
                       block.line[evidence.batch.in_block(row)]);
}

} // namespace thresh::rules

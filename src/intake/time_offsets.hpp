// Times of one column that state different offsets from UTC.
#pragma once

#include "intake/file_data.hpp"

#include <string>

namespace thresh::intake {

// What there is to say: nothing where all offsets are the same or none is stated.
struct OffsetsFound {
    std::string doubt, note, help;
    std::uint32_t line = 0; // of the first time that differs
};

// For settled times of time column `which`, before a clock is joined to them. Where offsets differ, all times
// are put on the offset of the first; where some state none, nothing is changed and the column is in doubt.
OffsetsFound settle_offsets(TableData& table, std::size_t which);

} // namespace thresh::intake

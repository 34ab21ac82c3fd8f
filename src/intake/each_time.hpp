// All times of a table, row by row.
#pragma once

#include "intake/file_data.hpp"

namespace thresh::intake {

// Calls `f` for every raw time of the table; it may change the time.
template <typename F>
void for_each_time(TableData& table, F f) {
    for (Part& part : table.parts)
        for (std::size_t b = 0; b < part.blocks.size(); ++b)
            for (std::size_t row = 0; row < part.blocks[b].time.size(); ++row) {
                const Time before = part.blocks[b].time[row];
                Time time = before;
                f(part, b, row, time);
                if (time != before)
                    part.blocks[b].time.set(row, time);
            }
}

} // namespace thresh::intake

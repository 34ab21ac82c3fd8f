// A date in one column and a clock in another: what programs write into the half of a moment that a column
// does not mean.
#pragma once

#include "intake/file_data.hpp"

#include <cstddef>
#include <cstdint>

namespace thresh::intake {

// A clock alone is kept as a time of the first day of 1970.
constexpr bool is_clock(Time time) {
    return time.seconds() >= 0 && time.seconds() < 86400;
}

// When all moments of time column `which` are of a day from which some program counts, such as 1899-12-30,
// they are clocks, and become such.
bool clocks_of_day_zero(TableData& table, std::size_t which);
// When the date column holds days alone and each moment of the clock column is of its row's day, the moments
// become clocks.
bool clocks_of_own_day(TableData& table);
// Puts settled dates and clocks together. Where all dates are midnights, midnight is no time of day; else
// those that have a time of day keep it: how many of them have another than the clock beside them, and the
// first.
struct OtherClocks {
    std::size_t count = 0;
    std::uint32_t line = 0;
    Time time, clock;
};
OtherClocks add_clocks(TableData& table);

} // namespace thresh::intake

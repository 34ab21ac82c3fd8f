// A time as a bound that includes all of its own day or minute.
#pragma once

#include <thresh/core/time.hpp>

namespace thresh {

// The last second, counted as Time::seconds(), of the day, minute or second that is told.
constexpr std::int64_t last_second(Time told) {
    return told.seconds() + (told.precision() == Time::Precision::day      ? 86399
                             : told.precision() == Time::Precision::minute ? 59
                                                                           : 0);
}

} // namespace thresh

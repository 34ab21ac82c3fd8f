// How long a time lasts: 2026-08-03 stands for a whole day.
#pragma once

#include <thresh/core/time.hpp>

#include <cstdint>

namespace thresh {

// Seconds that `time` lasts at its own precision.
constexpr std::int64_t length_of(Time time) {
    switch (time.precision()) {
    case Time::Precision::day:
        return 86400;
    case Time::Precision::minute:
        return 60;
    default:
        return 1;
    }
}

} // namespace thresh

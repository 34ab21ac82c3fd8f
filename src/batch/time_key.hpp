// A reading's time in 32 bits, for quick refusal: readings that can be the same have keys that may meet.
#pragma once

#include <thresh/core/time.hpp>

#include <cstdint>

namespace thresh::batch {

inline constexpr std::uint32_t kNoTimeKey = 0xFFFFFFFF;

// Seconds modulo a multiple of a minute that fits; times 136 years apart share a key.
constexpr std::uint32_t time_key(Time time) {
    constexpr std::int64_t kCycle = 4294967280; // 60 * 71582788
    if (time.missing())
        return kNoTimeKey;
    const std::int64_t key = time.seconds() % kCycle;
    return static_cast<std::uint32_t>(key < 0 ? key + kCycle : key);
}

constexpr std::uint32_t minute_of_key(std::uint32_t key) {
    return key / 60;
}

// False only when the two cannot be one time: another minute, or the same minute with two different seconds
// neither of which can stand for "no seconds".
constexpr bool may_meet(std::uint32_t a, std::uint32_t b) {
    return a == b || (minute_of_key(a) == minute_of_key(b) && (a % 60 == 0 || b % 60 == 0));
}

// The second is at least a minute after the first. Where each key of a row of them is so to the one before,
// no two of them may meet.
constexpr bool apart(std::uint32_t first, std::uint32_t second) {
    return second > first && second - first >= 60;
}

} // namespace thresh::batch

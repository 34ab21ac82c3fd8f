// Calendar time as exported, without zone.
#pragma once

#include <cstdint>
#include <string>

namespace thresh {

// A point in time with the precision it was exported with. Ordered by time, then precision; a missing time
// has no place in time.
struct Time {
    enum class Precision : std::uint8_t { missing, day, minute, second };

    std::int64_t packed = 0; // seconds since 1970-01-01T00:00:00 times 4, plus the precision

    static constexpr Time of(std::int64_t seconds, Precision precision) {
        return {seconds * 4 + static_cast<std::int64_t>(precision)};
    }
    constexpr Precision precision() const { return static_cast<Precision>(packed & 3); }
    constexpr bool missing() const { return precision() == Precision::missing; }
    constexpr std::int64_t seconds() const { return packed >> 2; }
    friend constexpr auto operator<=>(const Time&, const Time&) = default;
};

// `2026-08-03`, `2026-08-03T07:41`, `2026-08-03T07:41:09`; empty when missing.
std::string to_text(Time time);
// Seconds since 1970-01-01 of a proleptic Gregorian date; the caller has checked that the date exists.
std::int64_t seconds_of(int year, unsigned month, unsigned day, unsigned hour = 0, unsigned minute = 0,
                        unsigned second = 0);
// Reads the spelling of to_text (also with a space for `T`); a missing Time when `text` is anything else.
Time time_from_iso(const std::string& text);

} // namespace thresh

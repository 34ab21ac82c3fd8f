// One cell of a time column. Which of two numbers is the day may be open until the whole column is known, so
// a cell is first read into a form that keeps what was written.
#pragma once

#include <thresh/core/time.hpp>
#include <thresh/intake/exports.hpp>

#include <array>
#include <cstdint>
#include <string_view>

namespace thresh::intake {

// How a time is spelled.
enum class TimeForm : std::uint8_t {
    missing,
    year_first, // 2026-08-03, 2026/08/03, 20260803
    dotted,     // 3.8.2026: the day first; 3.8.26 perhaps the year
    slashed,    // 3/8/2026 and 3-8-2026: day or month first; 3/8/26 perhaps the year
    named,      // 3-Aug-2026
    serial,     // 46237.32: days of a spreadsheet
    clock,      // 07:41 alone
    unreadable
};
inline constexpr std::size_t kTimeForms = 8;

// A time as written. Those whose day is certain hold it already; the others keep what was written in the same
// 64 bits, told apart by a bit that no time of the years 1 to 9999 sets.
class RawTime {
  public:
    constexpr RawTime() = default;
    static constexpr RawTime settled(Time time) { return RawTime(time.packed); }
    // Slashed: first and second number, then the year; seconds of the day.
    static constexpr RawTime slashed(unsigned first, unsigned second, unsigned year, unsigned seconds,
                                     Time::Precision precision) {
        return RawTime(kOpen | kSlashed | std::int64_t{first} << 46 | std::int64_t{second} << 40 |
                       std::int64_t{year} << 24 | std::int64_t{seconds} << 2 |
                       static_cast<std::int64_t>(precision));
    }
    // Three numbers of two digits, any of which may be the year; `year` is that of the last.
    constexpr RawTime with_short_year() const { return RawTime(bits_ | kShortYear); }
    // Points between the numbers: the month is never first.
    constexpr RawTime with_points() const { return RawTime(bits_ | kPoints); }
    // Serial: seconds since day 0 of the spreadsheet.
    static constexpr RawTime serial(std::int64_t seconds, Time::Precision precision) {
        return RawTime(kOpen | seconds << 2 | static_cast<std::int64_t>(precision));
    }

    constexpr bool open() const { return (bits_ & kOpen) != 0 && bits_ > 0; }
    constexpr bool is_slashed() const { return (bits_ & kSlashed) != 0; }
    constexpr bool has_short_year() const { return (bits_ & kShortYear) != 0; }
    constexpr bool has_points() const { return (bits_ & kPoints) != 0; }
    constexpr unsigned first() const { return static_cast<unsigned>(bits_ >> 46 & 63); }
    constexpr unsigned second() const { return static_cast<unsigned>(bits_ >> 40 & 63); }
    constexpr unsigned year() const { return static_cast<unsigned>(bits_ >> 24 & 0xffff); }
    constexpr unsigned day_seconds() const { return static_cast<unsigned>(bits_ >> 2 & 0x3fffff); }
    constexpr std::int64_t serial_seconds() const { return bits_ >> 2 & 0xffffffffffLL; }
    constexpr Time::Precision precision() const { return static_cast<Time::Precision>(bits_ & 3); }
    constexpr std::int64_t bits() const { return bits_; }
    static constexpr RawTime from_bits(std::int64_t bits) { return RawTime(bits); }

  private:
    static constexpr std::int64_t kOpen = std::int64_t{1} << 62, kSlashed = std::int64_t{1} << 60,
                                  kShortYear = std::int64_t{1} << 59, kPoints = std::int64_t{1} << 58;
    explicit constexpr RawTime(std::int64_t bits) : bits_(bits) {}
    std::int64_t bits_ = 0;
};

// In which order the numbers of an open date stand; as bits, for sets of orders.
enum DateOrder : std::uint8_t { day_first = 1, month_first = 2, year_first = 4 };
inline constexpr std::size_t kOrderSets = 8;

// Minutes east of UTC that a time states beside it.
inline constexpr std::int16_t kNoOffset = -32768;

struct TimeCell {
    TimeForm form = TimeForm::missing;
    RawTime raw;            // clock: settled(seconds of the day since 1970-01-01)
    std::uint8_t unfit = 0; // orders in which an open date is no day of the calendar, but not in all
    std::int16_t offset = kNoOffset;
};

// A serial number may have either decimal mark.
TimeCell read_time_cell(std::string_view text);

// The time of an open slashed or serial time under a format; missing when there is no such day, or when the
// format does not speak of times so written.
Time settle_time(RawTime raw, DateFormat format);

} // namespace thresh::intake

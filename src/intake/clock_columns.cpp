// Spreadsheets and databases know moments only: they write a date as its midnight, and a clock as a moment of
// the day from which they count, or of the reading's own day. One cell is no proof; a whole column is.
#include "intake/clock_columns.hpp"

#include "intake/each_time.hpp"

#include <algorithm>

namespace thresh::intake {

namespace {

constexpr std::int64_t kDay = 86400;

struct DayAndClock {
    std::int64_t day = 0; // the same for two moments of one day that are written alike
    std::int64_t clock = 0;
};

DayAndClock parts_of(RawTime raw) {
    if (!raw.open()) {
        const std::int64_t seconds = Time{raw.bits()}.seconds();
        const std::int64_t clock = (seconds % kDay + kDay) % kDay;
        return {(seconds - clock) / kDay, clock};
    }
    if (raw.is_slashed())
        return {(raw.bits() >> 2) - raw.day_seconds(), raw.day_seconds()};
    return {raw.serial_seconds() / kDay, raw.serial_seconds() % kDay};
}

bool of_day_zero(RawTime raw) {
    struct Zero {
        int year;
        unsigned month, day;
    };
    constexpr Zero kZeros[] = {{1899, 12, 30}, {1899, 12, 31}, {1900, 1, 1}, {1904, 1, 1}, {1970, 1, 1}};
    return std::any_of(std::begin(kZeros), std::end(kZeros), [&](const Zero& zero) {
        if (!raw.open())
            return parts_of(raw).day * kDay == seconds_of(zero.year, zero.month, zero.day);
        return raw.is_slashed() && !raw.has_short_year() && raw.year() == static_cast<unsigned>(zero.year) &&
               std::minmax(raw.first(), raw.second()) == std::minmax(zero.month, zero.day);
    });
}

RawTime& clock_at(Part& part, std::size_t block, std::size_t row) {
    return part.clock[block][row];
}

RawTime clock_of(RawTime raw) {
    return RawTime::settled(Time::of(parts_of(raw).clock, raw.precision()));
}

// As far as the coarser of the two says.
bool same_clock(Time moment, Time clock) {
    const bool seconds =
        moment.precision() == Time::Precision::second && clock.precision() == Time::Precision::second;
    const std::int64_t unit = seconds ? 1 : 60;
    return parts_of(RawTime::settled(moment)).clock / unit == clock.seconds() / unit;
}

bool missing(RawTime raw) {
    return raw.precision() == Time::Precision::missing;
}

} // namespace

bool clocks_of_day_zero(TableData& table, std::size_t which) {
    const auto raw_of = [&](Part& part, std::size_t block, std::size_t row, Time time) {
        return which == 0 ? RawTime::from_bits(time.packed) : clock_at(part, block, row);
    };
    bool any = false, all = true;
    for_each_time(table, [&](Part& part, std::size_t block, std::size_t row, Time& time) {
        const RawTime raw = raw_of(part, block, row, time);
        any = any || !missing(raw);
        all = all && (missing(raw) || (raw.precision() > Time::Precision::day && of_day_zero(raw)));
    });
    if (!any || !all)
        return false;
    for_each_time(table, [&](Part& part, std::size_t block, std::size_t row, Time& time) {
        const RawTime raw = raw_of(part, block, row, time);
        if (missing(raw))
            return;
        if (which == 0)
            time = {clock_of(raw).bits()};
        else
            clock_at(part, block, row) = clock_of(raw);
    });
    return true;
}

bool clocks_of_own_day(TableData& table) {
    // Moments of differing offsets from UTC are no clocks of one day.
    bool all = std::all_of(table.parts.begin(), table.parts.end(),
                           [](const Part& part) { return part.offsets[1].empty(); });
    for_each_time(table, [&](Part& part, std::size_t block, std::size_t row, Time& time) {
        const RawTime date = RawTime::from_bits(time.packed), moment = clock_at(part, block, row);
        all = all && (missing(date) || parts_of(date).clock == 0) &&
              (missing(moment) || (!missing(date) && moment.precision() > Time::Precision::day &&
                                   parts_of(moment).day == parts_of(date).day));
    });
    if (!all)
        return false;
    for_each_time(table, [](Part& part, std::size_t block, std::size_t row, Time&) {
        RawTime& moment = clock_at(part, block, row);
        moment = missing(moment) ? moment : clock_of(moment);
    });
    return true;
}

OtherClocks add_clocks(TableData& table) {
    bool midnights = true;
    for_each_time(table, [&](Part&, std::size_t, std::size_t, Time& time) {
        midnights = midnights && (time.missing() || is_clock(time) || time.seconds() % kDay == 0);
    });
    OtherClocks other;
    for_each_time(table, [&](Part& part, std::size_t block, std::size_t row, Time& time) {
        const Time clock{clock_at(part, block, row).bits()};
        if (time.missing() || is_clock(time) || RawTime::from_bits(time.packed).open())
            return;
        const bool known = !clock.missing() && is_clock(clock);
        if (time.precision() == Time::Precision::day || midnights) {
            time = known ? Time::of(time.seconds() + clock.seconds(), clock.precision())
                         : Time::of(time.seconds(), Time::Precision::day);
        } else if (known && !same_clock(time, clock) && other.count++ == 0) {
            other.line = part.blocks[block].line[row];
            other.time = time;
            other.clock = clock;
        }
    });
    return other;
}

} // namespace thresh::intake

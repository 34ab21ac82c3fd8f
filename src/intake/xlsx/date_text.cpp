// Serial numbers are turned into whole milliseconds first, so that 0.99999999999 of a day is the next
// midnight and not 23:59:59.999. Calendar arithmetic is that of <chrono> (proleptic Gregorian).
#include "intake/xlsx/date_text.hpp"

#include <chrono>
#include <cmath>
#include <cstdint>
#include <fmt/format.h>

namespace thresh::intake::xlsx {

namespace {

using std::chrono::sys_days;
using std::chrono::year_month_day;

constexpr std::int64_t ms_per_day = 86'400'000;

std::string time_part(std::int64_t ms) {
    std::string text = fmt::format("{:02}:{:02}", ms / 3'600'000, ms / 60'000 % 60);
    if (ms % 60'000 != 0)
        text += fmt::format(":{:02}", ms / 1'000 % 60);
    if (ms % 1'000 != 0)
        text += fmt::format(".{:03}", ms % 1'000);
    return text;
}

// Calendar day of a serial day number, "" outside the years 1 to 9999.
std::string day_part(std::int64_t day, bool system_1904) {
    using namespace std::chrono;
    constexpr std::int64_t never_was = 60;
    if (!system_1904 && day == never_was)
        return "1900-02-29";
    sys_days start = sys_days{1904y / January / 1};
    if (!system_1904)
        start = day < never_was ? sys_days{1899y / December / 31} : sys_days{1899y / December / 30};
    const year_month_day date{start + days{day}};
    const int year = static_cast<int>(date.year());
    if (year < 1 || year > 9999)
        return {};
    return fmt::format("{:04}-{:02}-{:02}", year, static_cast<unsigned>(date.month()),
                       static_cast<unsigned>(date.day()));
}

// Takes a fixed count of digits off the front.
bool take(std::string_view& text, std::size_t count, int& value) {
    if (text.size() < count)
        return false;
    value = 0;
    for (std::size_t i = 0; i < count; ++i) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        value = value * 10 + (text[i] - '0');
    }
    text.remove_prefix(count);
    return true;
}

bool take(std::string_view& text, char c) {
    if (!text.starts_with(c))
        return false;
    text.remove_prefix(1);
    return true;
}

// HH:MM[:SS[.f...]] as milliseconds; digits beyond the third are cut.
std::optional<std::int64_t> take_time(std::string_view& text) {
    int hour = 0, minute = 0, second = 0;
    if (!take(text, 2, hour) || !take(text, ':') || !take(text, 2, minute))
        return std::nullopt;
    if (take(text, ':') && !take(text, 2, second))
        return std::nullopt;
    if (hour > 23 || minute > 59 || second > 59)
        return std::nullopt;
    std::int64_t ms = (hour * 60LL + minute) * 60'000 + second * 1'000LL;
    if (take(text, '.') || take(text, ',')) {
        int digit = 0;
        for (int unit = 100; take(text, 1, digit); unit /= 10)
            ms += static_cast<std::int64_t>(digit) * unit;
    }
    return ms;
}

} // namespace

std::optional<DateText> date_text(double serial, bool system_1904, const NumberFormat& format) {
    constexpr double widest = 3.7e6; // days; beyond it no system stays within 9999 years
    if (!std::isfinite(serial) || std::abs(serial) > widest)
        return std::nullopt;
    const std::int64_t unit = format.shows_parts_of_second ? 1 : 1000; // milliseconds
    const std::int64_t ms = unit * std::llround(serial * static_cast<double>(ms_per_day / unit));
    std::int64_t day = ms / ms_per_day;
    if (ms % ms_per_day < 0)
        --day;
    const std::int64_t time = ms - day * ms_per_day;
    if (day == 0 && !format.shows_date && format.shows_time)
        return DateText{time_part(time), false};
    DateText date{day_part(day, system_1904), system_1904 ? day < 0 : day < 61};
    if (date.text.empty())
        return std::nullopt;
    if (time != 0 || format.shows_time)
        date.text += "T" + time_part(time);
    return date;
}

std::optional<DateText> iso_date_text(std::string_view text) {
    DateText date;
    int year = 0, month = 0, day = 0;
    std::string_view rest = text;
    if (take(rest, 4, year) && take(rest, '-') && take(rest, 2, month) && take(rest, '-') &&
        take(rest, 2, day)) {
        const year_month_day calendar{std::chrono::year{year},
                                      std::chrono::month{static_cast<unsigned>(month)},
                                      std::chrono::day{static_cast<unsigned>(day)}};
        if (!calendar.ok() || year < 1)
            return std::nullopt;
        date.text = text.substr(0, 10);
        if (rest.empty())
            return date;
        if (!take(rest, 'T') && !take(rest, ' '))
            return std::nullopt;
        date.text += "T";
    } else {
        rest = text;
        take(rest, 'T');
    }
    const auto time = take_time(rest);
    if (!time)
        return std::nullopt;
    date.text += time_part(*time);
    if (rest.empty() || rest == "Z")
        return date;
    int hours = 0, minutes = 0;
    if (!take(rest, '+') && !take(rest, '-'))
        return std::nullopt;
    if (!take(rest, 2, hours) || (take(rest, ':'), !take(rest, 2, minutes)) || !rest.empty())
        return std::nullopt;
    date.doubtful = true;
    return date;
}

} // namespace thresh::intake::xlsx

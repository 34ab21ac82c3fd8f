// Calendar arithmetic by the C++20 calendar types: proleptic Gregorian, no zone, no locale, no clock.
#include <thresh/core/time.hpp>

#include <charconv>
#include <chrono>
#include <fmt/format.h>
#include <string_view>

namespace thresh {

std::int64_t seconds_of(int year, unsigned month, unsigned day, unsigned hour, unsigned minute,
                        unsigned second) {
    const std::chrono::year_month_day date{std::chrono::year{year}, std::chrono::month{month},
                                           std::chrono::day{day}};
    const auto days = std::chrono::sys_days{date}.time_since_epoch().count();
    return std::int64_t{days} * 86400 + hour * 3600 + minute * 60 + second;
}

std::string to_text(Time time) {
    if (time.missing())
        return {};
    std::int64_t days = time.seconds() / 86400;
    std::int64_t rest = time.seconds() % 86400;
    if (rest < 0) {
        rest += 86400;
        --days;
    }
    const std::chrono::year_month_day date{std::chrono::sys_days{std::chrono::days{days}}};
    std::string text =
        fmt::format("{:04}-{:02}-{:02}", int{date.year()}, unsigned{date.month()}, unsigned{date.day()});
    if (time.precision() >= Time::Precision::minute)
        text += fmt::format("T{:02}:{:02}", rest / 3600, rest / 60 % 60);
    if (time.precision() == Time::Precision::second)
        text += fmt::format(":{:02}", rest % 60);
    return text;
}

namespace {

// Exactly `width` digits at `at`; false when they are not there.
bool digits(std::string_view text, std::size_t at, std::size_t width, unsigned& into) {
    if (at + width > text.size())
        return false;
    const char* first = text.data() + at;
    const auto [end, error] = std::from_chars(first, first + width, into);
    return error == std::errc{} && end == first + width;
}

} // namespace

Time time_from_iso(const std::string& text) {
    unsigned year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0;
    const std::string_view t = text;
    if (!digits(t, 0, 4, year) || t.size() < 10 || t[4] != '-' || !digits(t, 5, 2, month) || t[7] != '-' ||
        !digits(t, 8, 2, day))
        return {};
    const std::chrono::year_month_day date{std::chrono::year{static_cast<int>(year)},
                                           std::chrono::month{month}, std::chrono::day{day}};
    if (!date.ok())
        return {};
    auto precision = Time::Precision::day;
    if (t.size() > 10) {
        if ((t[10] != 'T' && t[10] != ' ') || !digits(t, 11, 2, hour) || t.size() < 16 || t[13] != ':' ||
            !digits(t, 14, 2, minute) || hour > 23 || minute > 59)
            return {};
        precision = Time::Precision::minute;
        if (t.size() > 16) {
            if (t.size() != 19 || t[16] != ':' || !digits(t, 17, 2, second) || second > 59)
                return {};
            precision = Time::Precision::second;
        }
    }
    return Time::of(seconds_of(static_cast<int>(year), month, day, hour, minute, second), precision);
}

} // namespace thresh

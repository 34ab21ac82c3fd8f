// Spellings are told apart by their first numbers and marks; every date is checked against the calendar.
// Of three numbers of two digits each may be the year or the day, so that they stay open even with points.
// Fractions of a second are cut off. Times are local wall-clock times, as exported; an offset from UTC is
// kept beside them, for a column may change it. Years of two digits are of this century (common practice of
// instruments' exports).
#include "intake/time_cell.hpp"

#include "intake/fold.hpp"
#include "intake/number_cell.hpp"

#include <chrono>
#include <optional>

namespace thresh::intake {

namespace {

constexpr bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

struct Scanner {
    std::string_view rest;
    std::int16_t offset = kNoOffset; // once it has been read

    // Between `least` and `most` digits.
    bool number(std::size_t least, std::size_t most, unsigned& value, std::size_t* count = nullptr) {
        std::size_t n = 0;
        value = 0;
        while (n < rest.size() && n < most && is_digit(rest[n]))
            value = value * 10 + static_cast<unsigned>(rest[n++] - '0');
        if (n < least || (n < rest.size() && is_digit(rest[n])))
            return false;
        if (count)
            *count = n;
        rest.remove_prefix(n);
        return true;
    }
    bool take(char c) {
        if (rest.empty() || rest[0] != c)
            return false;
        rest.remove_prefix(1);
        return true;
    }
    void blanks() { rest = trim(rest); }
};

bool exists(unsigned year, unsigned month, unsigned day) {
    return year >= 1 && year <= 9999 &&
           std::chrono::year_month_day{std::chrono::year{static_cast<int>(year)}, std::chrono::month{month},
                                       std::chrono::day{day}}
               .ok();
}

// `7:41`, `07:41:09.5`, `7:41 PM`, `7.41`? no: the marks must be colons.
bool clock(Scanner& s, unsigned& seconds, Time::Precision& precision) {
    unsigned hour = 0, minute = 0, second = 0;
    if (!s.number(1, 2, hour) || !s.take(':') || !s.number(2, 2, minute))
        return false;
    precision = Time::Precision::minute;
    if (s.take(':')) {
        if (!s.number(2, 2, second))
            return false;
        precision = Time::Precision::second;
        if (s.take('.') || s.take(','))
            while (!s.rest.empty() && is_digit(s.rest[0]))
                s.rest.remove_prefix(1);
    }
    s.blanks();
    const std::string half = s.rest.size() <= 8 ? fold_key(s.rest) : std::string();
    if (half == "am" || half == "pm") {
        if (hour < 1 || hour > 12)
            return false;
        hour = hour % 12 + (half == "pm" ? 12 : 0);
        s.rest = {};
    }
    if (hour > 23 || minute > 59 || second > 59)
        return false;
    seconds = hour * 3600 + minute * 60 + second;
    return true;
}

bool zone(Scanner& s) {
    if (s.rest.empty())
        return true;
    if (s.rest == "Z" || s.rest == "UTC" || s.rest == "GMT") {
        s.offset = 0;
        return true;
    }
    const bool west = s.rest[0] == '-';
    if (!west && s.rest[0] != '+')
        return false;
    s.rest.remove_prefix(1);
    unsigned hours = 0, minutes = 0;
    if (!s.number(2, 2, hours) ||
        !(s.rest.empty() || (s.take(':') && s.number(2, 2, minutes) && s.rest.empty())))
        return false;
    const int east = static_cast<int>(hours * 60 + minutes);
    s.offset = static_cast<std::int16_t>(west ? -east : east);
    return true;
}

// What may follow a date: nothing, or a clock.
bool clock_after_date(Scanner& s, unsigned& seconds, Time::Precision& precision) {
    seconds = 0;
    precision = Time::Precision::day;
    const bool comma = s.take(',');
    const bool t = !comma && (s.take('T') || s.take('t'));
    const std::size_t before = s.rest.size();
    s.blanks();
    if (s.rest.empty())
        return !comma && !t;
    if (!t && s.rest.size() == before)
        return false;
    return clock(s, seconds, precision) && zone(s);
}

TimeCell settled(TimeForm form, unsigned year, unsigned month, unsigned day, unsigned seconds,
                 Time::Precision precision) {
    if (!exists(year, month, day))
        return {TimeForm::unreadable, {}};
    return {form,
            RawTime::settled(Time::of(seconds_of(static_cast<int>(year), month, day) + seconds, precision))};
}

struct Date {
    unsigned year, month, day;
};

Date in_order(RawTime raw, DateOrder order) {
    switch (order) {
    case DateOrder::day_first:
        return {raw.year(), raw.second(), raw.first()};
    case DateOrder::month_first:
        return {raw.year(), raw.first(), raw.second()};
    default:
        return {2000 + raw.first(), raw.second(), raw.year() - 2000};
    }
}

unsigned full_year(unsigned year, std::size_t digits) {
    return digits == 2 ? 2000 + year : year;
}

constexpr std::string_view kMonths[][12] = {
    {"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"},
    {"jan", "feb", "marz", "apr", "mai", "juni", "juli", "aug", "sept", "okt", "nov", "dez"},
    {"janv", "fevr", "mars", "avr", "mai", "juin", "juil", "aout", "sept", "oct", "nov", "dec"},
    {"ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"},
    {"jan", "fev", "mar", "abr", "mai", "jun", "jul", "ago", "set", "out", "nov", "dez"},
    {"january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
     "november", "december"},
    {"januar", "februar", "mrz", "april", "mai", "jun", "jul", "august", "september", "oktober", "november",
     "dezember"}};

unsigned month_of(std::string_view word) {
    const std::string key = fold_key(word);
    for (const auto& language : kMonths)
        for (unsigned m = 0; m < 12; ++m)
            if (key == language[m])
                return m + 1;
    return 0;
}

// 3-Aug-2026, 3. August 2026, Aug 3, 2026
TimeCell named(Scanner& s, std::string_view text) {
    s.rest = text;
    unsigned day = 0, year = 0, month = 0, seconds = 0;
    auto precision = Time::Precision::day;
    const auto word = [&] {
        std::size_t n = 0;
        while (n < s.rest.size() && !is_digit(s.rest[n]) && s.rest[n] != ' ' && s.rest[n] != '-' &&
               s.rest[n] != '.' && s.rest[n] != ',' && s.rest[n] != '/')
            ++n;
        month = month_of(s.rest.substr(0, n));
        s.rest.remove_prefix(n);
        return month != 0;
    };
    const auto gap = [&] {
        while (!s.rest.empty() && std::string_view(" -./,").find(s.rest[0]) != std::string_view::npos)
            s.rest.remove_prefix(1);
    };
    const bool day_first = !s.rest.empty() && is_digit(s.rest[0]);
    if (day_first && !s.number(1, 2, day))
        return {TimeForm::unreadable, {}};
    gap();
    if (!word())
        return {TimeForm::unreadable, {}};
    gap();
    if (!day_first && !s.number(1, 2, day))
        return {TimeForm::unreadable, {}};
    gap();
    std::size_t digits = 0;
    if (!s.number(2, 4, year, &digits) || digits == 3 || !clock_after_date(s, seconds, precision))
        return {TimeForm::unreadable, {}};
    return settled(TimeForm::named, full_year(year, digits), month, day, seconds, precision);
}

// Day numbers of a spreadsheet from 1954 to 2119; anything else is more likely something else.
TimeCell serial(std::string_view text) {
    Scanner s{text};
    unsigned days = 0;
    if (!s.number(5, 5, days) || days < 20000 || days > 80000)
        return {TimeForm::unreadable, {}};
    if (s.rest.empty())
        return {TimeForm::serial, RawTime::serial(std::int64_t{days} * 86400, Time::Precision::day)};
    if (!s.take('.') && !s.take(','))
        return {TimeForm::unreadable, {}};
    double fraction = 0, scale = 0.1;
    if (s.rest.empty() || s.rest.size() > 15)
        return {TimeForm::unreadable, {}};
    for (const char c : s.rest) {
        if (!is_digit(c))
            return {TimeForm::unreadable, {}};
        fraction += (c - '0') * scale;
        scale /= 10;
    }
    const auto seconds = static_cast<std::int64_t>(fraction * 86400 + 0.5);
    return {TimeForm::serial, RawTime::serial(std::int64_t{days} * 86400 + seconds, Time::Precision::second)};
}

bool exists(RawTime raw, DateOrder order) {
    if ((order == DateOrder::month_first && raw.has_points()) ||
        (order == DateOrder::year_first && !raw.has_short_year()))
        return false;
    const Date date = in_order(raw, order);
    return exists(date.year, date.month, date.day);
}

// Unreadable when it is a day in no order.
TimeCell open_date(TimeForm form, RawTime raw) {
    unsigned unfit = 0;
    for (const DateOrder order : {DateOrder::day_first, DateOrder::month_first, DateOrder::year_first})
        if (!exists(raw, order))
            unfit |= order;
    if (unfit == kOrderSets - 1)
        return {TimeForm::unreadable, {}};
    return {form, raw, static_cast<std::uint8_t>(unfit)};
}

// Points before a full year say by themselves that the day comes first.
std::optional<DateOrder> order_of(RawTime raw, DateFormat format) {
    if (format == DateFormat::ymd)
        return DateOrder::year_first;
    if (format == DateFormat::dmy || (raw.has_points() && !raw.has_short_year()))
        return DateOrder::day_first;
    if (format == DateFormat::mdy)
        return DateOrder::month_first;
    return std::nullopt;
}

TimeCell read_trimmed(Scanner& s) {
    const std::string_view text = s.rest;
    constexpr TimeCell kUnreadable{TimeForm::unreadable, {}};
    unsigned first = 0, second = 0, third = 0, seconds = 0;
    auto precision = Time::Precision::day;
    std::size_t digits = 0;
    if (!s.number(1, 8, first, &digits)) {
        return is_missing_mark(text) ? TimeCell{} : named(s, text);
    }
    if (digits == 8) { // 20260803
        if (!clock_after_date(s, seconds, precision))
            return kUnreadable;
        return settled(TimeForm::year_first, first / 10000, first / 100 % 100, first % 100, seconds,
                       precision);
    }
    if (digits == 5)
        return serial(text);
    if (s.rest.empty())
        return kUnreadable;
    const char mark = s.rest[0];
    if (digits <= 2 && mark == ':') {
        s.rest = text;
        if (!clock(s, seconds, precision) || !s.rest.empty())
            return kUnreadable;
        return {TimeForm::clock, RawTime::settled(Time::of(seconds, precision))};
    }
    if (mark != '-' && mark != '/' && mark != '.')
        return named(s, text);
    s.take(mark);
    if (!s.number(1, 2, second) || !s.take(mark))
        return named(s, text);
    if (digits == 4) {
        if (!s.number(1, 2, third) || !clock_after_date(s, seconds, precision))
            return kUnreadable;
        return settled(TimeForm::year_first, first, second, third, seconds, precision);
    }
    std::size_t year_digits = 0;
    if (digits > 2 || !s.number(2, 4, third, &year_digits) || year_digits == 3 ||
        !clock_after_date(s, seconds, precision))
        return kUnreadable;
    third = full_year(third, year_digits);
    RawTime raw = RawTime::slashed(first, second, third, seconds, precision);
    if (digits == 2 && year_digits == 2)
        raw = raw.with_short_year();
    return mark == '.' ? open_date(TimeForm::dotted, raw.with_points()) : open_date(TimeForm::slashed, raw);
}

} // namespace

TimeCell read_time_cell(std::string_view text) {
    Scanner s{trim(text)};
    if (s.rest.empty())
        return {};
    TimeCell cell = read_trimmed(s);
    cell.offset = s.offset;
    return cell;
}

Time settle_time(RawTime raw, DateFormat format) {
    if (raw.is_slashed()) {
        const auto order = order_of(raw, format);
        if (!order || !exists(raw, *order))
            return {};
        const Date date = in_order(raw, *order);
        return Time::of(seconds_of(static_cast<int>(date.year), date.month, date.day) + raw.day_seconds(),
                        raw.precision());
    }
    if (format != DateFormat::serial1900 && format != DateFormat::serial1904)
        return {};
    // Day 0 of a spreadsheet: 1899-12-30 (for dates from 1900-03-01) or 1904-01-01.
    const std::int64_t zero =
        format == DateFormat::serial1904 ? seconds_of(1904, 1, 1) : seconds_of(1899, 12, 30);
    return Time::of(zero + raw.serial_seconds(), raw.precision());
}

} // namespace thresh::intake

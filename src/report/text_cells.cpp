// Spelling of cells, byte by byte. Most cells need nothing done, so each function first looks whether it may
// copy.
#include "report/text_cells.hpp"

#include "report/time_text.hpp"
#include "report/utf8.hpp"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <fmt/format.h>

namespace thresh::report {

namespace {

// Two digits at `at`.
void put_pair(char* at, unsigned value) {
    at[0] = static_cast<char>('0' + value / 10);
    at[1] = static_cast<char>('0' + value % 10);
}

bool is_number(std::string_view text) {
    if (!text.empty() && text.front() == '+')
        text.remove_prefix(1);
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc{} && end == text.data() + text.size() && !text.empty() &&
           std::string_view("0123456789.-").find(text.front()) != std::string_view::npos &&
           text.back() >= '0' && text.back() <= '9';
}

// Would a spreadsheet take this text for a formula?
bool would_run(std::string_view text) {
    if (text.front() == '+' || text.front() == '-')
        return !is_number(text);
    return may_run(text.front());
}

constexpr bool needs_quotes(char c) {
    return c == ',' || c == '"' || c == '\n' || c == '\r';
}

} // namespace

void append_integer(std::string& into, std::int64_t value) {
    const fmt::format_int text(value);
    into.append(text.data(), text.size());
}

void append_time(std::string& into, Time value) {
    const std::int64_t of_day = ((value.seconds() % 86400) + 86400) % 86400;
    const std::chrono::year_month_day date{
        std::chrono::sys_days{std::chrono::days{(value.seconds() - of_day) / 86400}}};
    const int year = int{date.year()};
    if (value.missing() || year < 0 || year > 9999) {
        into += to_text(value);
        return;
    }
    char text[] = "0000-00-00T00:00:00";
    put_pair(text, static_cast<unsigned>(year) / 100);
    put_pair(text + 2, static_cast<unsigned>(year) % 100);
    put_pair(text + 5, unsigned{date.month()});
    put_pair(text + 8, unsigned{date.day()});
    put_pair(text + 11, static_cast<unsigned>(of_day / 3600));
    put_pair(text + 14, static_cast<unsigned>(of_day / 60 % 60));
    put_pair(text + 17, static_cast<unsigned>(of_day % 60));
    constexpr std::size_t kLengths[] = {0, 10, 16, 19};
    into.append(text, kLengths[static_cast<std::size_t>(value.precision())]);
}

bool TimeText::spell_date(std::int64_t day) {
    std::string text;
    append_time(text, Time::of(day * 86400, Time::Precision::second));
    if (text.size() <= kDate || text[kDate - 1] != 'T')
        return false;
    std::memcpy(date_, text.data(), kDate);
    day_ = day;
    return true;
}

void append_csv_text(std::string& into, std::string_view text) {
    if (text.empty())
        return;
    const bool apostrophe = would_run(text);
    if (std::none_of(text.begin(), text.end(), needs_quotes)) {
        if (apostrophe)
            into += '\'';
        into += text;
        return;
    }
    into += '"';
    if (apostrophe)
        into += '\'';
    for (auto at = text.find('"'); at != std::string_view::npos; at = text.find('"')) {
        into += text.substr(0, at + 1); // the quote is written twice
        into += '"';
        text.remove_prefix(at + 1);
    }
    into += text;
    into += '"';
}

void append_tsv_text(std::string& into, std::string_view text) {
    for (const char c : text) {
        switch (c) {
        case '\t':
            into += "\\t";
            break;
        case '\n':
            into += "\\n";
            break;
        case '\r':
            into += "\\r";
            break;
        case '\\':
            into += "\\\\";
            break;
        default:
            into += c;
        }
    }
}

void append_json_text(std::string& into, std::string_view text) {
    into += '"';
    std::size_t at = 0;
    while (at < text.size()) {
        const auto c = static_cast<unsigned char>(text[at]);
        if (c >= 0x80) {
            const std::size_t length = utf8_length(text.substr(at));
            if (length == 0)
                into += "\\ufffd";
            else
                into += text.substr(at, length);
            at += std::max<std::size_t>(1, length);
            continue;
        }
        if (c == '"' || c == '\\') {
            into += '\\';
            into += static_cast<char>(c);
        } else if (c == '\n') {
            into += "\\n";
        } else if (c == '\t') {
            into += "\\t";
        } else if (c < 0x20 || c == 0x7f) {
            fmt::format_to(std::back_inserter(into), "\\u{:04x}", c);
        } else {
            into += static_cast<char>(c);
        }
        ++at;
    }
    into += '"';
}

} // namespace thresh::report

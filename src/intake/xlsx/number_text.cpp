// Most stored numbers already are the shortest decimal, and a scan shows it without any conversion. The
// others go through std::from_chars and std::to_chars, both of which are exact and know no locale.
#include "intake/xlsx/number_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdlib>

namespace thresh::intake::xlsx {

namespace {

constexpr std::size_t kept_digits = 15;

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// A decimal as sign, digits without zeros at either end, and the power of ten of the first digit.
struct Decimal {
    bool negative = false;
    std::string digits; // empty: zero
    int exponent = 0;
};

// Reads what this file or std::to_chars wrote: [-]digits[.digits][e[+-]digits].
Decimal take_apart(std::string_view text) {
    Decimal decimal;
    if (text.starts_with('-')) {
        decimal.negative = true;
        text.remove_prefix(1);
    }
    int shift = 0;
    if (const std::size_t e = text.find('e'); e != std::string_view::npos) {
        std::string_view power = text.substr(e + 1);
        if (power.starts_with('+'))
            power.remove_prefix(1);
        std::from_chars(power.data(), power.data() + power.size(), shift);
        text = text.substr(0, e);
    }
    const std::size_t point = text.find('.');
    decimal.exponent = static_cast<int>(point == std::string_view::npos ? text.size() : point) - 1 + shift;
    for (const char c : text)
        if (c != '.')
            decimal.digits.push_back(c);
    const std::size_t first = decimal.digits.find_first_not_of('0');
    if (first == std::string::npos)
        return Decimal{};
    decimal.digits.erase(0, first);
    decimal.exponent -= static_cast<int>(first);
    decimal.digits.erase(decimal.digits.find_last_not_of('0') + 1);
    return decimal;
}

std::string put_together(const Decimal& decimal) {
    if (decimal.digits.empty())
        return "0";
    std::string text = decimal.negative ? "-" : "";
    const auto count = static_cast<int>(decimal.digits.size());
    if (decimal.exponent < -9 || decimal.exponent > 20) {
        text += decimal.digits.substr(0, 1);
        if (count > 1)
            text += "." + decimal.digits.substr(1);
        return text + "e" + std::to_string(decimal.exponent);
    }
    if (decimal.exponent < 0)
        return text + "0." + std::string(static_cast<std::size_t>(-decimal.exponent - 1), '0') +
               decimal.digits;
    if (count <= decimal.exponent + 1)
        return text + decimal.digits +
               std::string(static_cast<std::size_t>(decimal.exponent + 1 - count), '0');
    const auto whole = static_cast<std::size_t>(decimal.exponent + 1);
    return text + decimal.digits.substr(0, whole) + "." + decimal.digits.substr(whole);
}

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view blanks = " \t\r\n";
    const std::size_t first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos)
        return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

} // namespace

bool is_shortest_number(std::string_view text) {
    std::size_t at = text.starts_with('-') ? 1 : 0;
    const std::size_t whole = at;
    while (at < text.size() && is_digit(text[at]))
        ++at;
    std::size_t digits = at - whole;
    if (digits == 0 || (digits > 1 && text[whole] == '0'))
        return false;
    if (at < text.size()) {
        if (text[at] != '.')
            return false;
        const std::size_t fraction = ++at;
        while (at < text.size() && is_digit(text[at]))
            ++at;
        if (at != text.size() || at == fraction || text.back() == '0')
            return false;
        digits += at - fraction;
    }
    return digits <= kept_digits && text != "-0";
}

bool number_text(std::string_view stored, std::string& out) {
    stored = trimmed(stored);
    if (is_shortest_number(stored)) {
        out.assign(stored);
        return true;
    }
    if (stored.starts_with('+'))
        stored.remove_prefix(1);
    if (stored.size() > kept_digits && stored[0] != '0' &&
        std::all_of(stored.begin(), stored.end(), is_digit)) {
        out.assign(stored);
        return true;
    }
    double value = 0;
    const char* const end = stored.data() + stored.size();
    const auto [stop, problem] = std::from_chars(stored.data(), end, value);
    if (stored.empty() || problem != std::errc() || stop != end || !std::isfinite(value))
        return false;

    std::array<char, 40> buffer{};
    auto written =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::scientific);
    Decimal decimal = take_apart({buffer.data(), written.ptr});
    if (decimal.digits.size() > kept_digits && decimal.exponent < static_cast<int>(kept_digits)) {
        written = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value,
                                std::chars_format::scientific, static_cast<int>(kept_digits) - 1);
        decimal = take_apart({buffer.data(), written.ptr});
    }
    out = put_together(decimal);
    return true;
}

std::string times_hundred(std::string_view number) {
    Decimal decimal = take_apart(number);
    decimal.exponent += 2;
    return put_together(decimal);
}

bool loses_digits(std::string_view number) {
    const Decimal decimal = take_apart(number);
    return !decimal.digits.empty() && decimal.exponent >= static_cast<int>(kept_digits);
}

} // namespace thresh::intake::xlsx

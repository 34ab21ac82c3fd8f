// A format code is scanned once, letter by letter. `m` is the one ambiguous letter: it is the month unless
// the code also shows hours or seconds, and even then when it is written out (`mmm`).
#include "intake/xlsx/number_format.hpp"

#include <algorithm>
#include <string>

namespace thresh::intake::xlsx {

namespace {

std::string lower_case(std::string_view text) {
    std::string lower(text);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z')
            c = static_cast<char>(c + ('a' - 'A'));
    return lower;
}

// What the first section of a code shows, without literal text. `elapsed` takes [h], [mm], [ss], which are
// left out.
struct Shown {
    std::string letters;
    bool elapsed = false;
};

Shown strip_literals(std::string_view code) {
    Shown shown;
    for (std::size_t at = 0; at < code.size() && code[at] != ';'; ++at) {
        const char c = code[at];
        if (c == '"') {
            at = std::min(code.find('"', at + 1), code.size());
        } else if (c == '\\' || c == '_' || c == '*') {
            ++at; // the next character is shown, left as a gap, or repeated
        } else if (c == '[') {
            const std::size_t close = std::min(code.find(']', at), code.size());
            const std::string_view inside = code.substr(at + 1, close - at - 1);
            if (!inside.empty() && inside.find_first_not_of(inside[0]) == std::string_view::npos &&
                (inside[0] == 'h' || inside[0] == 'm' || inside[0] == 's'))
                shown.elapsed = true;
            at = close;
        } else {
            shown.letters.push_back(c);
        }
    }
    return shown;
}

} // namespace

NumberFormat read_format_code(std::string_view code) {
    const std::string lower = lower_case(code);
    NumberFormat format;
    if (lower == "general" || lower == "standard")
        return format;
    const Shown shown = strip_literals(lower);
    const auto shows = [&](std::string_view any) {
        return shown.letters.find_first_of(any) != std::string::npos;
    };
    format.shows_time = shown.elapsed || shows("hs");
    format.shows_date =
        shows("yd") || shown.letters.find("mmm") != std::string::npos || (shows("m") && !format.shows_time);
    format.shows_parts_of_second = format.shows_time && shown.letters.find("s.0") != std::string::npos;
    if (format.is_date())
        return format;
    format.percent = shows("%");
    if (lower.size() > 1 && lower.size() < 100 && lower.find_first_not_of('0') == std::string::npos)
        format.min_digits = static_cast<std::uint8_t>(lower.size());
    return format;
}

NumberFormat builtin_format(std::uint32_t id) {
    NumberFormat format;
    const auto within = [id](std::uint32_t low, std::uint32_t high) { return id >= low && id <= high; };
    format.percent = id == 9 || id == 10;
    format.shows_date =
        within(14, 17) || id == 22 || within(27, 31) || id == 36 || within(50, 54) || within(57, 58);
    format.shows_time = within(18, 22) || within(32, 35) || within(45, 47) || within(55, 56);
    format.shows_parts_of_second = id == 47; // mm:ss.0
    return format;
}

} // namespace thresh::intake::xlsx

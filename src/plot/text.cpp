// Widths are those of a wide screen font (DejaVu Sans), so that a text fits in any other; characters outside
// Latin count as wide as they commonly are. Cutting goes by grapheme clusters of utf8proc, so that an emoji
// or a letter with its accents stays whole.
#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <utf8proc.h>

namespace thresh::plot {

namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";
constexpr std::string_view kEllipsis = "\xE2\x80\xA6";
constexpr std::string_view kIsolate = "\xE2\x81\xA8", kEndIsolate = "\xE2\x81\xA9";

// The character at the front of `text` and its bytes; -1 when it is no UTF-8.
std::size_t decode(std::string_view text, utf8proc_int32_t& code_point) {
    const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                         static_cast<utf8proc_ssize_t>(text.size()), &code_point);
    if (length > 0)
        return static_cast<std::size_t>(length);
    code_point = -1;
    return 1;
}

bool unfit(utf8proc_int32_t code_point) {
    if (code_point < 0 || (code_point & 0xFFFE) == 0xFFFE)
        return true;
    const auto category = utf8proc_category(code_point);
    return category == UTF8PROC_CATEGORY_CC || category == UTF8PROC_CATEGORY_ZL ||
           category == UTF8PROC_CATEGORY_ZP;
}

bool turns_direction(utf8proc_int32_t code_point) {
    return code_point == 0x061C || code_point == 0x200E || code_point == 0x200F ||
           (code_point >= 0x202A && code_point <= 0x202E) || (code_point >= 0x2066 && code_point <= 0x2069);
}

double em_width(utf8proc_int32_t code_point) {
    if (code_point < 0x80) {
        const char c = static_cast<char>(code_point);
        if (std::string_view(" ijl'|.,:;!").find(c) != std::string_view::npos)
            return 0.36;
        if (std::string_view("fIrt()[]/\\-").find(c) != std::string_view::npos)
            return 0.43;
        if (std::string_view("mwMW@%+=<>~#").find(c) != std::string_view::npos)
            return 0.98;
        return c >= 'A' && c <= 'Z' ? 0.75 : 0.64;
    }
    const int columns = utf8proc_charwidth(code_point);
    return columns == 0 ? 0.0 : columns == 1 ? 0.75 : 1.3;
}

bool right_to_left(std::string_view text) {
    while (!text.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text, code_point);
        if (code_point >= 0) {
            const auto direction = utf8proc_get_property(code_point)->bidi_class;
            if (direction == UTF8PROC_BIDI_CLASS_R || direction == UTF8PROC_BIDI_CLASS_AL)
                return true;
        }
        text.remove_prefix(length);
    }
    return false;
}

// Whether isolates open and close in pairs, as isolated() puts them; others could reach over what follows.
bool balanced_isolates(std::string_view text) {
    std::size_t at = 0;
    while (true) {
        at = text.find("\xE2\x81", at);
        if (at == std::string_view::npos)
            return true;
        if (text.substr(at, 3) != kIsolate && text.substr(at, 3) != kEndIsolate) {
            at += 2;
            continue;
        }
        if (text.substr(at, 3) != kIsolate)
            return false;
        const std::size_t end = text.find(kEndIsolate, at + 3);
        if (end == std::string_view::npos ||
            text.substr(at + 3, end - at - 3).find(kIsolate) != std::string_view::npos)
            return false;
        at = end + 3;
    }
}

std::string made_fit(std::string_view text, bool keep_isolates) {
    std::string fit;
    fit.reserve(text.size());
    while (!text.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text, code_point);
        const bool isolate = code_point == 0x2068 || code_point == 0x2069;
        if (code_point == '\n' || code_point == '\r' || code_point == '\t')
            fit += ' ';
        else if (unfit(code_point))
            fit += kReplacement;
        else if (!turns_direction(code_point) || (isolate && keep_isolates))
            fit += text.substr(0, length);
        text.remove_prefix(length);
    }
    return fit;
}

} // namespace

double text_width(std::string_view text, double font_size) {
    double width = 0;
    while (!text.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text, code_point);
        width += code_point < 0 ? 1.0 : em_width(code_point);
        text.remove_prefix(length);
    }
    return width * font_size;
}

std::string clean(std::string_view text) {
    return made_fit(text, false);
}

std::string escape(std::string_view text) {
    std::string escaped;
    for (const char c : made_fit(text, balanced_isolates(text)))
        switch (c) {
        case '&':
            escaped += "&amp;";
            break;
        case '<':
            escaped += "&lt;";
            break;
        case '>':
            escaped += "&gt;";
            break;
        case '"':
            escaped += "&quot;";
            break;
        case '\'':
            escaped += "&#39;";
            break;
        default:
            escaped += c;
        }
    return escaped;
}

std::string shorten(std::string_view text, double width, double font_size) {
    std::string whole = clean(text);
    if (text_width(whole, font_size) <= width)
        return whole;
    const double room = width - text_width(kEllipsis, font_size);
    std::string_view rest = whole;
    std::size_t end = 0, kept = 0; // end: looked at; kept: whole characters that fit
    double used = 0;
    utf8proc_int32_t before = -1, state = 0;
    while (!rest.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(rest, code_point);
        if (before < 0 || utf8proc_grapheme_break_stateful(before, code_point, &state))
            kept = end;
        used += em_width(code_point) * font_size;
        if (used > room)
            break;
        end += length;
        rest.remove_prefix(length);
        before = code_point;
    }
    while (kept > 0 && whole[kept - 1] == ' ')
        --kept;
    return whole.substr(0, kept) + std::string(kEllipsis);
}

std::string isolated(std::string_view name) {
    std::string fit = clean(name);
    return right_to_left(fit) ? std::string(kIsolate) + fit + std::string(kEndIsolate) : fit;
}

std::string number_text(double value, int decimals) {
    std::string text = fmt::format("{:.{}f}", value, std::clamp(decimals, 0, 9));
    if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos)
        text.erase(0, 1);
    return text;
}

std::string with_unit(double value, int decimals, std::string_view unit) {
    std::string text = number_text(value, decimals);
    if (!unit.empty())
        text.append(" ").append(clean(unit));
    return text;
}

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

} // namespace thresh::plot

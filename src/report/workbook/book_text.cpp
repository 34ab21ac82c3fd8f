#include "report/workbook/book_text.hpp"

#include "report/text_cells.hpp"
#include "report/utf8.hpp"

#include <algorithm>

namespace thresh::report {

namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";
constexpr std::string_view kEllipsis = "\xE2\x80\xA6";

bool hexadecimal(char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
}

// `_xHHHH_`, by which workbooks write characters that XML has no place for (ECMA-376, 22.9.2.19).
bool looks_escaped(std::string_view text) {
    return text.size() >= 7 && text[0] == '_' && text[1] == 'x' && text[6] == '_' &&
           std::all_of(text.begin() + 2, text.begin() + 6, hexadecimal);
}

// The character at the front as it may stand in a cell.
std::string_view piece(std::string_view text, std::size_t length) {
    const auto first = static_cast<unsigned char>(text[0]);
    if (length == 0)
        return kReplacement;
    if (length == 1)
        return (first >= 0x20 && first != 0x7f) || first == '\t' || first == '\n' ? text.substr(0, 1)
                                                                                  : kReplacement;
    if (first == 0xC2 && static_cast<unsigned char>(text[1]) < 0xA0)
        return kReplacement; // C1 controls
    if (text.starts_with("\xEF\xBF\xBE") || text.starts_with("\xEF\xBF\xBF"))
        return kReplacement;
    return text.substr(0, length);
}

} // namespace

std::string book_text(std::string_view text, std::size_t most, bool& cut) {
    std::string made;
    made.reserve(text.size());
    std::size_t used = 0;        // characters as spreadsheets count them
    std::size_t before_last = 0; // length of `made` at which an ellipsis still fits
    while (!text.empty()) {
        if (text.starts_with("\r\n")) {
            text.remove_prefix(1);
            continue;
        }
        const std::size_t length = utf8_length(text);
        // The library counts the escape too.
        const bool escaped = looks_escaped(text);
        const std::size_t weight = escaped ? 8 : length == 4 ? 2 : 1;
        if (used + weight > most) {
            made.resize(before_last);
            made += kEllipsis;
            cut = true;
            return made;
        }
        made += escaped ? std::string_view("_x005F_") : piece(text, length);
        used += weight;
        if (used + 1 <= most)
            before_last = made.size();
        text.remove_prefix(std::max<std::size_t>(1, length));
    }
    return made;
}

unsigned lines_needed(std::string_view text, unsigned width) {
    unsigned lines = 1, used = 0;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of(" \n"), text.size());
        const unsigned word = display_width(text.substr(0, end));
        if (used > 0 && used + 1 + word > width) {
            ++lines;
            used = 0;
        }
        used += (used > 0 ? 1 : 0) + word;
        for (; used > width; used -= width)
            ++lines;
        if (end < text.size() && text[end] == '\n') {
            ++lines;
            used = 0;
        }
        text.remove_prefix(std::min(text.size(), end + 1));
    }
    return lines;
}

double row_height(unsigned lines) {
    constexpr double kLine = 15, kHighest = 405;
    return std::min(kHighest, kLine * lines);
}

std::optional<double> book_time(Time time) {
    constexpr std::int64_t kDay = 86400;
    constexpr std::int64_t kFirst = 61 * kDay, kLast = 2958466 * kDay; // 1900-03-01, the day after 9999-12-31
    const std::int64_t since_1899 = time.seconds() + 25569 * kDay;
    if (time.missing() || since_1899 < kFirst || since_1899 >= kLast)
        return std::nullopt;
    return static_cast<double>(since_1899) / static_cast<double>(kDay);
}

} // namespace thresh::report

// Text for terminals. Widths are those of utf8proc, except for the soft hyphen (it gives 1, terminals show
// none) which is left out with the other invisible controls. Joined emoji are counted part by part: some
// terminals show them narrower, none wider.
#include "report/text_cells.hpp"
#include "report/utf8.hpp"

#include <algorithm>
#include <utf8proc.h>

namespace thresh::report {

namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";
constexpr std::string_view kEllipsis = "\xE2\x80\xA6";

// The character at the front of `text` and its bytes; a negative code point when it is no UTF-8.
std::size_t decode(std::string_view text, utf8proc_int32_t& code_point) {
    const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                         static_cast<utf8proc_ssize_t>(text.size()), &code_point);
    if (length > 0)
        return static_cast<std::size_t>(length);
    code_point = -1;
    return 1;
}

// Columns that a character takes.
unsigned width_of(utf8proc_int32_t code_point) {
    return code_point < 0 ? 1U : static_cast<unsigned>(std::max(0, utf8proc_charwidth(code_point)));
}

// Direction marks and other format characters could reorder a line; they show nothing themselves.
bool invisible(utf8proc_int32_t code_point) {
    const auto category = utf8proc_category(code_point);
    return category == UTF8PROC_CATEGORY_CF && code_point != 0x200D; // joiner of emoji
}

bool control(utf8proc_int32_t code_point) {
    const auto category = utf8proc_category(code_point);
    return category == UTF8PROC_CATEGORY_CC || category == UTF8PROC_CATEGORY_ZL ||
           category == UTF8PROC_CATEGORY_ZP;
}

} // namespace

std::size_t utf8_length(std::string_view text) {
    utf8proc_int32_t code_point = 0;
    const std::size_t length = decode(text, code_point);
    return code_point < 0 ? 0 : length;
}

std::string inert_text(std::string_view text) {
    std::string inert;
    inert.reserve(text.size());
    while (!text.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text, code_point);
        if (code_point == '\n' || code_point == '\r' || code_point == '\t')
            inert += ' ';
        else if (code_point < 0 || control(code_point))
            inert += kReplacement;
        else if (!invisible(code_point))
            inert += text.substr(0, length);
        text.remove_prefix(length);
    }
    return inert;
}

std::string inert_lines(std::string_view text) {
    std::string inert;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        inert += inert_text(text.substr(0, end));
        if (end < text.size())
            inert += '\n';
        text.remove_prefix(std::min(text.size(), end + 1));
    }
    return inert;
}

unsigned display_width(std::string_view text) {
    unsigned width = 0;
    while (!text.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text, code_point);
        width += width_of(code_point);
        text.remove_prefix(length);
    }
    return width;
}

std::string cut_to_width(std::string_view text, unsigned width) {
    if (display_width(text) <= width)
        return std::string(text);
    if (width == 0)
        return {};
    std::size_t end = 0;
    unsigned used = 0;
    while (end < text.size()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text.substr(end), code_point);
        const unsigned own = width_of(code_point);
        if (used + own > width - 1)
            break;
        used += own;
        end += length;
    }
    return std::string(text.substr(0, end)) + std::string(kEllipsis);
}

std::string end_to_width(std::string_view text, unsigned width) {
    unsigned used = display_width(text);
    if (used <= width)
        return std::string(text);
    if (width == 0)
        return {};
    while (!text.empty()) {
        utf8proc_int32_t code_point = 0;
        const std::size_t length = decode(text, code_point);
        const unsigned own = width_of(code_point);
        if (used < width && own > 0) // an accent would stand on the ellipsis
            break;
        used -= own;
        text.remove_prefix(length);
    }
    return std::string(kEllipsis) + std::string(text);
}

} // namespace thresh::report

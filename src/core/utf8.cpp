#include <thresh/core/utf8.hpp>

namespace thresh {

char32_t next_character(std::string_view& text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned first = byte(0);
    const std::size_t length = first < 0x80                    ? 1
                               : first >= 0xc2 && first < 0xe0 ? 2
                               : first >= 0xe0 && first < 0xf0 ? 3
                               : first >= 0xf0 && first < 0xf5 ? 4
                                                               : 0;
    if (length == 0 || length > text.size()) {
        text.remove_prefix(1);
        return 0xfffd;
    }
    char32_t c = length == 1 ? first : first & (0x7fU >> length);
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xc0) != 0x80) {
            text.remove_prefix(1);
            return 0xfffd;
        }
        c = c << 6 | (byte(i) & 0x3fU);
    }
    if ((length == 3 && (c < 0x800 || (c >= 0xd800 && c < 0xe000))) ||
        (length == 4 && (c < 0x10000 || c > 0x10ffff))) {
        text.remove_prefix(1);
        return 0xfffd;
    }
    text.remove_prefix(length);
    return c;
}

void append_utf8(std::string& to, char32_t c) {
    const auto push = [&](char32_t byte) {
        to.push_back(static_cast<char>(static_cast<unsigned char>(byte)));
    };
    if (c < 0x80) {
        push(c);
    } else if (c < 0x800) {
        push(0xc0 | c >> 6);
        push(0x80 | (c & 0x3f));
    } else if (c < 0x10000) {
        push(0xe0 | c >> 12);
        push(0x80 | (c >> 6 & 0x3f));
        push(0x80 | (c & 0x3f));
    } else {
        push(0xf0 | c >> 18);
        push(0x80 | (c >> 12 & 0x3f));
        push(0x80 | (c >> 6 & 0x3f));
        push(0x80 | (c & 0x3f));
    }
}

std::string_view beginning(std::string_view text, std::size_t most) {
    if (text.size() <= most)
        return text;
    while (most > 0 && (static_cast<unsigned char>(text[most]) & 0xc0) == 0x80)
        --most;
    return text.substr(0, most);
}

std::string valid_utf8(std::string_view text) {
    std::string valid;
    while (!text.empty())
        append_utf8(valid, next_character(text));
    return valid;
}

} // namespace thresh

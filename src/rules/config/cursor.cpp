// The JSON parser reports what it read but not where a token began, so this cursor walks along with it: each
// event of the parser moves it over exactly one token. Only texts that the parser has accepted so far are
// walked over, so that the cursor need not judge them. Columns count characters (UTF-8 lead bytes).
#include "rules/config/cursor.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr std::string_view kBlanks = " \t\r\n";
constexpr std::string_view kMark = "\xEF\xBB\xBF"; // UTF-8 byte order mark

bool starts_character(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80U;
}

} // namespace

Cursor::Cursor(std::string_view text) : text_(text) {
    if (text_.starts_with(kMark))
        at_ = kMark.size();
}

void Cursor::advance(std::size_t offset) {
    for (; at_ < std::min(offset, text_.size()); ++at_) {
        if (text_[at_] == '\n') {
            ++place_.line;
            place_.column = 1;
        } else if (starts_character(text_[at_])) {
            ++place_.column;
        }
    }
}

std::size_t Cursor::blank_end(std::size_t from) const {
    while (from < text_.size()) {
        if (kBlanks.find(text_[from]) != std::string_view::npos) {
            ++from;
        } else if (text_.substr(from, 2) == "//") {
            from = std::min(text_.find('\n', from), text_.size());
        } else if (text_.substr(from, 2) == "/*") {
            const std::size_t end = text_.find("*/", from + 2);
            from = end == std::string_view::npos ? text_.size() : end + 2;
        } else {
            break;
        }
    }
    return from;
}

Place Cursor::next_token() {
    std::size_t next = blank_end(at_);
    while (next < text_.size() && (text_[next] == ',' || text_[next] == ':'))
        next = blank_end(next + 1);
    advance(next);
    token_begin_ = at_;
    return place_;
}

void Cursor::skip_token() {
    std::size_t end = at_;
    if (end >= text_.size())
        return;
    if (text_[end] == '"') {
        for (++end; end < text_.size() && text_[end] != '"'; ++end)
            if (text_[end] == '\\')
                ++end;
        ++end;
    } else if (std::string_view("{}[]").find(text_[end]) != std::string_view::npos) {
        ++end;
    } else {
        end = std::min(text_.find_first_of(",:]} \t\r\n/", end), text_.size());
    }
    advance(end);
}

bool Cursor::trailing_comma(Place& comma) const {
    const std::size_t first = blank_end(at_);
    if (first >= text_.size() || text_[first] != ',')
        return false;
    const std::size_t next = blank_end(first + 1);
    comma = place_of(first);
    return next < text_.size() && (text_[next] == '}' || text_[next] == ']');
}

Place Cursor::place_of(std::size_t offset) const {
    Cursor ahead = *this;
    ahead.advance(offset);
    return ahead.place_;
}

} // namespace thresh::rules

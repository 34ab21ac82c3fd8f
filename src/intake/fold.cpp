// Folding by a small table for the Latin letters of the languages that the headings come in; other letters
// stay as they are. Nothing here depends on a locale.
#include "intake/fold.hpp"

#include <array>

namespace thresh::intake {

namespace {

// U+00C0 to U+00FF, folded; two letters where one stands for two.
constexpr std::array<std::string_view, 64> kLatin1 = {
    "a", "a", "a", "a", "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i",  "i",
    "d", "n", "o", "o", "o", "o", "o",  "x", "o", "u", "u", "u", "u", "y", "th", "ss",
    "a", "a", "a", "a", "a", "a", "ae", "c", "e", "e", "e", "e", "i", "i", "i",  "i",
    "d", "n", "o", "o", "o", "o", "o",  "/", "o", "u", "u", "u", "u", "y", "th", "y"};

// What one character folds to; empty: it is left out. Nothing: it stays as it is.
bool fold_character(char32_t c, std::string& to) {
    if (c < 0x80) {
        to.push_back(static_cast<char>(c >= 'A' && c <= 'Z' ? c + 32 : c < 0x20 || c == 0x7f ? ' ' : c));
        return true;
    }
    if (c >= 0xc0 && c <= 0xff) {
        to += kLatin1[c - 0xc0];
        return true;
    }
    if (c >= 0x300 && c <= 0x36f) // combining accents
        return true;
    if (c == 0xa0 || c == 0x2007 || c == 0x202f || (c >= 0x2000 && c <= 0x200a) || c == 0xfeff) {
        to.push_back(' ');
        return true;
    }
    if ((c >= 0x2010 && c <= 0x2015) || c == 0x2212 || c == 0xad) {
        to.push_back('-');
        return true;
    }
    if (c >= 0x2080 && c <= 0x2089) { // subscript digits, as in H2O
        to.push_back(static_cast<char>('0' + (c - 0x2080)));
        return true;
    }
    if (c == 0xb5 || c == 0x3bc) { // micro
        to.push_back('u');
        return true;
    }
    if (c == 0x152 || c == 0x153) {
        to += "oe";
        return true;
    }
    if (c == 0x2018 || c == 0x2019) {
        to.push_back('\'');
        return true;
    }
    return false;
}

bool is_blank_character(char32_t c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == 0xa0 || c == 0x202f || c == 0x2007 ||
           c == 0xfeff;
}

} // namespace

std::string fold_words(std::string_view text) {
    std::string folded;
    folded.reserve(text.size());
    while (!text.empty()) {
        const std::string_view before = text;
        const char32_t c = next_character(text);
        if (!fold_character(c, folded))
            folded.append(before.substr(0, before.size() - text.size()));
    }
    return folded;
}

std::string fold_key(std::string_view text) {
    std::string key;
    for (const char c : fold_words(text))
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 0x80)
            key.push_back(c);
    return key;
}

bool matches_pattern(std::string_view pattern, std::string_view text) {
    const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; };
    std::size_t p = 0, t = 0, star = std::string_view::npos, mark = 0;
    while (t < text.size()) {
        if (p < pattern.size() && pattern[p] == '*') {
            star = p++;
            mark = t;
        } else if (p < pattern.size() && (pattern[p] == '?' || lower(pattern[p]) == lower(text[t]))) {
            ++p;
            ++t;
        } else if (star != std::string_view::npos) {
            p = star + 1;
            t = ++mark;
        } else {
            return false;
        }
    }
    while (p < pattern.size() && pattern[p] == '*')
        ++p;
    return p == pattern.size();
}

std::string_view trim_blanks(std::string_view text) {
    while (!text.empty()) {
        std::string_view rest = text;
        if (!is_blank_character(next_character(rest)))
            break;
        text = rest;
    }
    while (!text.empty()) {
        std::size_t start = text.size() - 1;
        while (start > 0 && (static_cast<unsigned char>(text[start]) & 0xc0) == 0x80)
            --start;
        std::string_view last = text.substr(start);
        if (!is_blank_character(next_character(last)) || !last.empty())
            break;
        text = text.substr(0, start);
    }
    return text;
}

std::string_view without_guard(std::string_view trimmed) {
    if (trimmed.size() > 1 && trimmed[0] == '\'' &&
        std::string_view("=+-@\t\r").find(trimmed[1]) != std::string_view::npos)
        trimmed.remove_prefix(1);
    if (trimmed.size() > 3 && trimmed.starts_with("=\"") && trimmed.find('"', 2) == trimmed.size() - 1)
        trimmed = trim(trimmed.substr(2, trimmed.size() - 3));
    return trimmed;
}

} // namespace thresh::intake

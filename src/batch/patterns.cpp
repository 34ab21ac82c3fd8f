// Wildcard matching by the greedy method with one point to fall back to: linear for the patterns people
// write, at most pattern times text. `?` takes a whole UTF-8 character.
#include <thresh/batch/settings.hpp>

#include <algorithm>

namespace thresh::batch {

namespace {

constexpr char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

// Bytes of the character that starts at `at`: continuation bytes belong to it.
std::size_t character(std::string_view text, std::size_t at) {
    std::size_t length = 1;
    while (at + length < text.size() && (static_cast<unsigned char>(text[at + length]) & 0xC0) == 0x80)
        ++length;
    return length;
}

} // namespace

bool matches(std::string_view pattern, std::string_view text) {
    constexpr std::size_t kNowhere = std::string_view::npos;
    std::size_t p = 0, t = 0, star = kNowhere, resume = 0;
    while (t < text.size()) {
        if (p < pattern.size() && pattern[p] == '*') {
            star = p++;
            resume = t;
        } else if (p < pattern.size() && pattern[p] == '?') {
            ++p;
            t += character(text, t);
        } else if (p < pattern.size() && lower(pattern[p]) == lower(text[t])) {
            ++p;
            ++t;
        } else if (star != kNowhere) {
            p = star + 1;
            resume += character(text, resume);
            t = resume;
        } else {
            return false;
        }
    }
    while (p < pattern.size() && pattern[p] == '*')
        ++p;
    return p == pattern.size();
}

bool same_word(std::string_view a, std::string_view b) {
    return std::ranges::equal(a, b, {}, lower, lower);
}

bool When::empty() const {
    return analysis.empty() && sample.empty() && source.empty() && instrument.empty() &&
           calibration.empty() && material.empty() && from.missing() && to.missing();
}

} // namespace thresh::batch

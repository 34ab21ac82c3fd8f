// Error words are known by their shape, for every language of a spreadsheet program has its own: `#REF!`,
// `#BEZUG!`, `#NOME?`. An ID such as `#12` has none of these shapes.
#include "batch/no_id.hpp"

#include "batch/words.hpp"

#include <thresh/batch/settings.hpp>

#include <algorithm>
#include <array>

namespace thresh::batch {

namespace {

constexpr std::size_t kLongest = 16; // bytes of an error word or a word for missing

bool is_letter_or_digit(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

bool is_error_word(std::string_view text) {
    static constexpr std::array<std::string_view, 4> kUnmarked = {"#N/A", "#NV", "#N/D", "#N/V"};
    if (std::ranges::any_of(kUnmarked, [&](std::string_view word) { return same_word(word, text); }))
        return true;
    return text.size() > 3 && text.starts_with('#') && (text.ends_with('!') || text.ends_with('?')) &&
           !(text[1] >= '0' && text[1] <= '9');
}

// Marks of ASCII and the dashes of typography (U+2010 to U+2015, U+2212).
bool only_marks(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (is_letter_or_digit(text[i]))
            return false;
        if (static_cast<unsigned char>(text[i]) < 0x80)
            continue;
        const std::string_view character = text.substr(i, 3);
        if (!(character >= "\u2010" && character <= "\u2015") && character != "\u2212")
            return false;
        i += 2;
    }
    return !text.empty();
}

} // namespace

bool is_no_id(std::string_view text) {
    return text.size() <= kLongest && (only_marks(text) || is_error_word(text));
}

bool says_missing(std::string_view text) {
    static constexpr std::array<std::string_view, 9> kWords = {"NA",   "N/A", "N.A.",    "N.A", "NaN",
                                                               "null", "nil", "missing", "none"};
    constexpr std::size_t kLongestWord = 7;
    return text.size() <= kLongestWord &&
           std::ranges::any_of(kWords, [&](std::string_view word) { return same_word(word, text); });
}

} // namespace thresh::batch

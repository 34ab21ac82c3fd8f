// Comparing words that people typed: without case, accents, blanks and punctuation.
#pragma once

#include <thresh/core/utf8.hpp>

#include <cstddef>
#include <string>
#include <string_view>

namespace thresh::intake {

// Lower case without accents, typographic dashes and blanks made plain: "Öl  [%]" -> "ol  [%]".
std::string fold_words(std::string_view text);
// fold_words without everything that is neither letter nor digit: "Öl-Gehalt" -> "olgehalt".
std::string fold_key(std::string_view text);
// Whether the whole of `text` matches a pattern of `*` and `?`, case ignored.
bool matches_pattern(std::string_view pattern, std::string_view text);

// Without blanks, no-break blanks and byte order marks at both ends.
std::string_view trim_blanks(std::string_view text);
inline std::string_view trim(std::string_view text) {
    const auto inked = [](char c) { return c > ' ' && c < 0x7f; };
    return !text.empty() && inked(text.front()) && inked(text.back()) ? text // nearly always
                                                                      : trim_blanks(text);
}

// A trimmed text without what guards it from a spreadsheet: the apostrophe that our own tables put before
// text that would be run, and the formula ="00123" by which exports keep leading zeros.
std::string_view without_guard(std::string_view trimmed);
// Whether there may be such: quickly told.
inline bool may_be_guarded(std::string_view trimmed) {
    return !trimmed.empty() && (trimmed.front() == '\'' || trimmed.front() == '=');
}

} // namespace thresh::intake

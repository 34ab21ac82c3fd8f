// Reading the small words and numbers of lists.
#pragma once

#include <optional>
#include <string_view>

namespace thresh::batch {

// Without blanks (space, tab, no-break space) at either end.
std::string_view trimmed(std::string_view text);

// Whether a cell of a yes/no column says yes: blank and the words for no in the five languages say no, any
// other text says yes, because it usually names what applies (a treatment, a check variety).
bool says_yes(std::string_view text);

// A mass in grams: `250`, `12.5`, `12,5`, with or without ` g`. Nothing for anything else, for a negative
// one, and for `1,234`, which may be meant either way.
std::optional<double> mass_in_grams(std::string_view text);

// Equal when ASCII case is ignored.
bool same_word(std::string_view a, std::string_view b);

} // namespace thresh::batch

// Reading the small words and numbers of lists.
#pragma once

#include <optional>
#include <string_view>

namespace thresh::batch {

// Without blanks (space, tab, no-break space) at either end.
std::string_view trimmed(std::string_view text);

// What a cell of a yes/no column says, by the words for it in the five languages; blank is no. Nothing for
// any other text: whoever takes `maybe` for yes makes a check of it.
std::optional<bool> yes_or_no(std::string_view text);
inline constexpr std::string_view kYesOrNo =
    "write yes (y, true, 1, x) or no (n, false, 0), or leave the cell blank";

// Whether a text that is neither yes nor no can be a name, such as that of a treatment: three letters at
// least, no word of doubt (`unknown`), and none that denies (`untreated`, `not treated`).
bool names_something(std::string_view text);

// A mass in grams: `250`, `12.5`, `12,5`, with or without ` g`. Nothing for anything else, for a negative
// one, and for `1,234`, which may be meant either way.
std::optional<double> mass_in_grams(std::string_view text);

} // namespace thresh::batch

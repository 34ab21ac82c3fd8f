// The nearest name to a mistyped one, for messages.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace thresh {

// Edits between two texts: insertions, deletions, substitutions, swaps of neighbours (optimal string
// alignment), ASCII case ignored.
unsigned edit_distance(std::string_view a, std::string_view b);

// "did you mean `protein`?" when a name is near enough, else "known here: a, b, c" (of more
// than 40 the first ten); the first of equally near ones. `what` names what is listed: "known keys here".
std::string nearest_hint(std::string_view word, const std::vector<std::string>& names,
                         std::string_view what = "known here");

} // namespace thresh

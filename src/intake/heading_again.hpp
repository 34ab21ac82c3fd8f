// Rows between those of a table that speak of its columns, as rows around its heading do: units, or a group
// named anew above the heading.
#pragma once

#include "intake/detect_heading.hpp"

#include <optional>
#include <vector>

namespace thresh::intake {

// Whether a row of units says something else of the columns than `own`, the heading of their table, does.
bool other_units(const HeadRow& units, const HeadingFound& own, const HeadingDictionary& dictionary);
// The same for a row that may stand above the heading when that comes again.
bool other_group(const HeadRow& group, const HeadingFound& own, const HeadingDictionary& dictionary);

// The heading of what follows the row at which a table with the heading `own` ended, the first of `rows`: it
// begins a heading, or the old one goes on with what the row says.
HeadingFound heading_below(const std::vector<HeadRow>& rows, const HeadingFound& own,
                           const HeadingDictionary& dictionary);

} // namespace thresh::intake

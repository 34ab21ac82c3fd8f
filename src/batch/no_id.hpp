// Texts that stand where a sample ID should and are none.
#pragma once

#include <string_view>

namespace thresh::batch {

// Whether no text that begins so can be any of these, so that most IDs of a season need not be asked.
constexpr bool always_begins_an_id(char first) {
    return (first >= '0' && first <= '9') ||
           (((first >= 'a' && first <= 'z') || (first >= 'A' && first <= 'Z')) && first != 'n' &&
            first != 'N' && first != 'm' && first != 'M');
}

// An error word of a spreadsheet (`#N/A`, `#REF!`), or nothing but dashes and other marks: never an ID.
bool is_no_id(std::string_view text);

// A word for a missing value, such as `NA`. Somebody may have a packet of that name: it is an ID when a
// sample list lists it.
bool says_missing(std::string_view text);

} // namespace thresh::batch

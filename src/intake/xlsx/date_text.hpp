// Days as workbooks count them, as calendar text.
#pragma once

#include "intake/xlsx/number_format.hpp"

#include <optional>
#include <string>
#include <string_view>

namespace thresh::intake::xlsx {

struct DateText {
    std::string text;
    bool doubtful = false;
    bool operator==(const DateText&) const = default;
};

// A serial number of days to `YYYY-MM-DDTHH:MM[:SS[.fff]]`, to the nearest second, or millisecond when the
// format shows parts of a second; `YYYY-MM-DD` when the format shows no time and there is none;
// `HH:MM[:SS[.fff]]` for a time of day (below 1, format without date). Nothing outside the years 1 to 9999.
//
// In the system that starts in 1900, day 60 is 1900-02-29, a day that never was; it is given as such. Below
// it programs disagree by one day about what a number means, so that every day before 1900-03-01 is doubtful.
// In the system of 1904 day 0 is 1904-01-01 and the negative days are doubtful.
std::optional<DateText> date_text(double serial, bool system_1904, const NumberFormat& format);

// A date written as ISO 8601 (cells of type `d`) in the form above. A time zone is dropped; any but Z is
// doubtful, as times are taken as exported. Nothing when it is no such date or no day of the calendar.
std::optional<DateText> iso_date_text(std::string_view text);

} // namespace thresh::intake::xlsx

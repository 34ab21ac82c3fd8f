// Text and times as a workbook's cells can hold them.
#pragma once

#include <thresh/core/time.hpp>

#include <optional>
#include <string>
#include <string_view>

namespace thresh::report {

// What a cell shows for `text`: bytes that are no UTF-8, control characters (but tab and line feed) and
// characters that XML cannot hold become U+FFFD; text that a reader of workbooks would take for an escaped
// character (`_x0041_`) is escaped so that it stays as it is; at most `most` characters as spreadsheets count
// them (UTF-16), the last an ellipsis when something was cut (`cut` is then set).
std::string book_text(std::string_view text, std::size_t most, bool& cut);

// Lines that `text` takes in a column of `width` characters, broken at blanks and line feeds, a longer word
// wherever it must be. At least 1.
unsigned lines_needed(std::string_view text, unsigned width);

// Height of a row of so many lines, in points; spreadsheets know no row above 409.
double row_height(unsigned lines);

// Days since 1899-12-30 as spreadsheets count them; nothing before 1900-03-01, where they count wrongly, and
// after 9999.
std::optional<double> book_time(Time time);

} // namespace thresh::report

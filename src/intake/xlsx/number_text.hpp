// The decimal that a workbook's stored number stands for.
#pragma once

#include <string>
#include <string_view>

namespace thresh::intake::xlsx {

// True for [-]digits[.digits] with at most 15 digits, no idle zero at either end, and not -0: then the text
// is the shortest form of its double, and number_text would give it back. (The digits counted include the
// zeros after `0.`, which only sends a few more numbers the long way.)
bool is_shortest_number(std::string_view text);

// Writes the number that `stored` (the text of a cell's value) means to `out`, plainly (36.49, -0.002,
// 120000) and with an exponent only beyond 1e21 or below 1e-9. False, `out` untouched, when `stored` is no
// finite decimal number.
//
// A workbook stores binary doubles, usually written with 17 digits: 36.49 becomes 36.490000000000002. What
// was typed or exported is the shortest decimal that reads back as the same double, and it is unique up to 15
// digits (any decimal of up to 15 significant digits survives the way to double and back). A number whose
// shortest form is longer came out of arithmetic, and its digits beyond the 15th are rounding noise, which
// spreadsheet programs never show: 0.30000000000000004 is 0.3. It is rounded to 15 digits as they do. A whole
// number of more than 15 digits is an ID, not arithmetic: it keeps the digits that the file gives.
bool number_text(std::string_view stored, std::string& out);

// The number times 100, exactly, by moving the decimal point of what number_text wrote: 0.3649 is 36.49.
std::string times_hundred(std::string_view number);

// True when a whole number has more than 15 digits, of which a spreadsheet keeps only 15.
bool loses_digits(std::string_view number);

} // namespace thresh::intake::xlsx

// One cell of a number column, from text to a decimal.
#pragma once

#include <thresh/core/cell.hpp>

#include <cstdint>
#include <string_view>

namespace thresh::intake {

// How numbers are spelled in a column. `grouping` is '\0' unless the column proves that it groups thousands.
struct NumberStyle {
    char mark = '.';
    char grouping = '\0';
    friend bool operator==(const NumberStyle&, const NumberStyle&) = default;
};

struct NumberCell {
    enum class Kind : std::uint8_t { decimal, wide, missing, below_limit, unreadable };
    Kind kind = Kind::missing;
    std::int32_t digits = 0; // decimal
    unsigned decimals = 0;
    double value = 0;     // wide: the number; below_limit: the limit; both after the unit's shift
    bool percent = false; // the cell carried a percent sign of its own
};

// Reads a cell whose heading's unit adds `shift` decimals. Blanks around it, a sign, an exponent and a
// percent sign (when `shift` is 0) are understood; anything else that is no number is a missing mark or
// unreadable.
NumberCell read_number_cell(std::string_view text, NumberStyle style, int shift);

// NA, ND, n/a, -, ...: marks of a value that is not there.
bool is_missing_mark(std::string_view trimmed);
// Words that instruments and spreadsheets write in place of a number: #DIV/0!, error, out of range, ...
bool is_error_word(std::string_view trimmed);

// digits / 10^decimals after `shift` more decimals; the plain way for digits up to Cell::kMaxDigits.
// False when the result is no Cell decimal.
constexpr bool shift_decimals(std::int64_t& digits, int& decimals, int shift) {
    decimals += shift;
    for (; decimals < 0; ++decimals) {
        digits *= 10;
        if (digits > Cell::kMaxDigits || digits < -Cell::kMaxDigits)
            return false;
    }
    return decimals <= static_cast<int>(Cell::kMaxDecimals) && digits <= Cell::kMaxDigits &&
           digits >= -Cell::kMaxDigits;
}

} // namespace thresh::intake

// What a cell's number format says about the meaning of its number: a date, a percentage, an ID with zeros.
#pragma once

#include <cstdint>
#include <string_view>

namespace thresh::intake::xlsx {

struct NumberFormat {
    bool shows_date = false; // year, month or day
    bool shows_time = false; // hour, minute or second
    bool shows_parts_of_second = false;
    bool percent = false;        // shown times 100 with a percent sign
    std::uint8_t min_digits = 0; // `00000`: shown with zeros on the left

    bool is_date() const { return shows_date || shows_time; }
    bool operator==(const NumberFormat&) const = default;
};

// A format code such as `0.00`, `dd.mm.yyyy hh:mm`, `[$-407]d. mmm yyyy;@`. Quoted and escaped text, colours,
// locales and conditions count for nothing; only the first section (positive numbers) is looked at.
NumberFormat read_format_code(std::string_view code);

// The formats that books use by number without writing their code (ECMA-376 part 1, 18.8.30; 27 to 36 and 50
// to 58 are dates in East Asian books).
NumberFormat builtin_format(std::uint32_t id);

} // namespace thresh::intake::xlsx

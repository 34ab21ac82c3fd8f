// What the reader says about one cell, and who listens.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace thresh::intake::xlsx {

enum class CellKind : std::uint8_t {
    missing,    // no value (the cell may be styled)
    text,       // UTF-8
    number,     // decimal text, see number_text.hpp
    date,       // calendar text, see date_text.hpp
    boolean,    // TRUE or FALSE
    error,      // #DIV/0!, #N/A, ...
    uncomputed, // a formula whose result the program that saved the book did not store; text is empty
};

struct Cell {
    std::uint32_t row = 0;    // from 1, as the sheet shows it
    std::uint32_t column = 0; // from 0
    CellKind kind = CellKind::missing;
    std::string_view text;       // valid during the call only
    bool percent = false;        // number: the sheet shows it times 100 with a percent sign
    std::uint8_t min_digits = 0; // number: the sheet pads it with zeros on the left to so many digits
    // date: before 1900-03-01, where programs count days differently, the day 1900-02-29 that never was, or
    // with a time zone that is dropped; number: more than 15 digits, of which a spreadsheet keeps 15, or a
    // serial number styled as a date that is outside the years 1 to 9999.
    bool doubtful = false;
};

// Receives the cells of one sheet. Rows come in rising order; the cells of a row nearly always do, but the
// format does not promise it. Return false to stop reading.
class CellSink {
  public:
    virtual ~CellSink() = default;
    virtual bool cell(const Cell& cell) = 0;
    virtual bool row_end(std::uint32_t /*row*/) { return true; }
};

// A block of cells that the sheet shows as one; its value is that of the first row and column.
struct MergedRange {
    std::uint32_t first_row = 0, last_row = 0;       // from 1, inclusive
    std::uint32_t first_column = 0, last_column = 0; // from 0, inclusive
    bool operator==(const MergedRange&) const = default;
};

struct CellPlace {
    std::uint32_t row = 0;
    std::uint32_t column = 0;
    bool operator==(const CellPlace&) const = default;
};

// `C7` (or `$C$7`) to row 7, column 2; nothing when it is no reference inside the grid.
std::optional<CellPlace> parse_place(std::string_view text);

// Row 7, column 2 to `C7`.
std::string place_name(std::uint32_t row, std::uint32_t column);

} // namespace thresh::intake::xlsx

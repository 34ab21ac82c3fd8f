// What the spelling of one number proves about the decimal mark of its column.
#pragma once

#include <thresh/core/cell.hpp>

#include <cstdint>
#include <string_view>

namespace thresh::intake {

// whole: no mark; proof: it can be read in no other way; open: 1.234 may be a decimal or have a thousands
// mark; none: no number with this mark.
enum class Shape : std::uint8_t { whole, proof, open, none };

// Of a cell's text, read with `mark`; a limit such as `<0.05` is that of its number.
Shape shape(std::string_view text, char mark);
// Of a decimal as it was spelled, before its unit added `shift` decimals.
Shape shape(Cell cell, int shift);

} // namespace thresh::intake

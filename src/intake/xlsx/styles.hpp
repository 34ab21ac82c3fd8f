// The number formats of a book's cell styles.
#pragma once

#include "intake/xlsx/archive.hpp"
#include "intake/xlsx/number_format.hpp"

#include <vector>

namespace thresh::intake::xlsx {

// One entry for each cell style (`s` of a cell is the index), from the styles part. A book's own code for a
// number wins over the built-in one, also where it redefines a built-in number.
Result<std::vector<NumberFormat>> read_styles(const Archive& archive, std::string_view part);

} // namespace thresh::intake::xlsx

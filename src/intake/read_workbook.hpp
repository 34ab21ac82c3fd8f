// A workbook to tables.
#pragma once

#include "intake/read_text.hpp"

namespace thresh::intake {

// Whether an input's first bytes are those of a workbook (or of an older one, which is refused by name).
bool is_workbook(const Input& input);

// Reads the sheets that hold readings, or the one the options name. A refusal is in the result's `info`.
FileData read_workbook(const Input& input, const ReadContext& context, std::vector<Pools>& pools,
                       std::size_t first);

} // namespace thresh::intake

// What muParser computes and nobody means: looked for in the text of a formula that it could read.
#pragma once

#include <thresh/core/result.hpp>

#include <string_view>

namespace thresh::rules {

// Errors, at their place in `text` (column, from 1): comparisons in a row (`1 < oil < 3`, true of any oil); a
// number where a condition belongs (beside && and ||, before ?, and all of `text` if `condition`).
Result<void> check_shape(std::string_view text, bool condition);

} // namespace thresh::rules

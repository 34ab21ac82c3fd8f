// What stands in arrays of numbers where there is none.
#pragma once

#include <limits>

namespace thresh {

inline constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();

} // namespace thresh

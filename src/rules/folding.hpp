// When a limit marks more than `flood_percent` (20) of a material's readings of a file, the limit does not
// fit the material: one finding about the file says so, instead of hundreds about values.
#pragma once

#include "rules/rule.hpp"

namespace thresh::rules {

// Below so many readings a share says nothing (common practice, ours).
inline constexpr std::size_t kFoldAtLeast = 10;

// Replaces the value findings of each file, material, constituent and code that are too many by one finding
// about the file, put into the last sink, whose words are kept in `texts`. `sinks`: of one rule, at least
// one.
void fold(std::vector<Sink>& sinks, const Evidence& evidence, std::vector<std::string>& texts);

} // namespace thresh::rules

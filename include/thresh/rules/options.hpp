// Rules settings that come from the command line.
#pragma once

#include <thresh/rules/ruleset.hpp>

#include <string_view>

namespace thresh::rules {

// Applies `--severity CODE=LEVEL`. Errors: no `=`, a code that no rule has (nearest named), a level other
// than off, note, review, exclude.
Result<void> set_severity(Ruleset& rules, std::string_view text);

} // namespace thresh::rules

// The built-in rules, as the commented text of a rules file.
#pragma once

#include <string>

namespace thresh::rules {

const std::string& builtin_rules_text();

} // namespace thresh::rules

// The material entries of the built-in rules, each a list of members of `materials`.
#pragma once

#include <string_view>

namespace thresh::rules {

std::string_view builtin_soybean_text();
std::string_view builtin_peanut_text();

} // namespace thresh::rules

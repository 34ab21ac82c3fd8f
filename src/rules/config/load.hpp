// load_rules with the list of finding codes given by the caller: the public one takes the catalogue's.
#pragma once

#include <thresh/rules/ruleset.hpp>

namespace thresh::rules {

Result<Ruleset> load_rules(const std::vector<std::string>& files, const ReadFile& read_file,
                           const std::vector<std::string>& codes);

} // namespace thresh::rules

// What people settled, applied to what the rules found.
#pragma once

#include "rules/rule.hpp"

namespace thresh::rules {

// Settles those of `found` that a `keep` accepts, and notes which decisions met something.
void keep_findings(std::vector<Finding>& found, const batch::Batch& batch, const Ruleset& rules,
                   Judgement& judgement);

// Excludes the readings and values that a `drop` names.
void drop_readings(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement);

} // namespace thresh::rules

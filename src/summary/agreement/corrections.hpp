// Which corrections a comparison with reference results puts in force.
#pragma once

#include <thresh/summary/agreement.hpp>

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace thresh::summary {

// The correction that a set's advice asks for; none where it asks for none.
struct SetCorrection {
    std::optional<rules::Adjustment> advised;
    std::string held_back; // why it is not in force, with the remedy; empty: it is
    bool in_force() const { return advised.has_value() && held_back.empty(); }
};

SetCorrection correction_of(const AgreementSet& set, Time from, Time to);

// Entries of `adjust` by material and constituent, in the order in which they have to stand. Each set
// compared gets its own correction and no other: an entry for one oil type goes before that for any, and a
// set without a correction that another's would reach (of any oil type, or of the material that its own is
// `like`) gets one that changes nothing.
using CorrectionEntries = std::map<std::pair<std::string, ConstituentId>, std::vector<rules::Adjustment>>;
CorrectionEntries correction_entries(const rules::Ruleset& rules, const std::vector<AgreementSet>& sets,
                                     Time from, Time to);

// The material, the one that it is `like`, the one that that is like, ...
std::vector<std::string> with_models(const rules::Ruleset& rules, const std::string& material);

} // namespace thresh::summary

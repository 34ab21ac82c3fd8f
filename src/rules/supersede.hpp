// Re-reading: a later clean reading takes the place of one with a fault of measurement.
#pragma once

#include "rules/rule.hpp"

namespace thresh::rules {

// Readings with a fault of measurement, as far as faults are known, that a later clean reading of the sample
// replaces.
std::vector<RowId> replaced_readings(const batch::Batch& batch, const Ruleset& rules,
                                     const Judgement& judgement);
// Sets the verdict of superseded readings and settles their findings. A reading is never superseded for its
// value: reading again until a value fits would be selection on noise. False when there was nothing to do.
bool supersede(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement);

} // namespace thresh::rules

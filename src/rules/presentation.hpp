// Which reading stands when a sample was read whole and ground.
#pragma once

#include <thresh/rules/judge.hpp>

namespace thresh::rules {

// Ground where the listed seed coat is dark; else what `prefer` of the materials says; nothing where neither
// does. Usable readings of the other presentation get the verdict superseded and enter Judgement::outranked,
// and what was found about them has nothing left to do. Needs the verdicts of all phases up to sessions.
// False when there was nothing to do.
bool choose_presentation(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement);

// `soybean` and `ground` of `soybean-ground`; an empty presentation for a crop alone.
std::pair<std::string_view, std::string_view> crop_and_presentation(std::string_view material);
bool dark_coat(std::string_view seed_coat, const Ruleset& rules);

} // namespace thresh::rules

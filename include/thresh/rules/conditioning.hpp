// Drying or moistening a packet until it can be read: where to stop on the balance.
#pragma once

#include <thresh/rules/judge.hpp>

#include <optional>

namespace thresh::rules {

struct Conditioning {
    double moisture = 0, target = 0;         // percent as read; the target is the middle of the window
    double percent_of_mass = 100;            // of today's mass, at which to stop; dry matter is conserved
    std::optional<double> mass_g, stop_at_g; // of the listed mass; nothing where the list has none
};
// Nothing unless the finding is moisture-low or moisture-high.
std::optional<Conditioning> conditioning(const Finding& finding, const batch::Batch& batch,
                                         const Ruleset& rules);

} // namespace thresh::rules

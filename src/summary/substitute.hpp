// Packets that must not be ground or sent to wet chemistry, and what can be taken in their place.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>

namespace thresh::summary {

// Seed that grinding and the usual wet chemistry (nitrogen, oil, moisture) use up; common practice.
inline constexpr double kGramsNeeded = 30;

// `treated`, `to be kept whole`, `only 12 g left`; empty when the packet can be used up.
std::string why_not_used_up(const batch::Batch& batch, std::uint32_t sample);

// A listed packet of the same line and trial that can be used up: of the same plot first, then in ID order;
// kNone when there is none.
std::uint32_t substitute_for(const batch::Batch& batch, std::uint32_t sample);

} // namespace thresh::summary

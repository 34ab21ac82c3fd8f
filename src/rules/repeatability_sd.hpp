// Which repeatability standard deviation is in force for a material and constituent, and where it came from.
#pragma once

#include "rules/rule.hpp"

#include <map>

namespace thresh::rules {

struct RepeatabilitySd {
    double sd = 0;           // percent, on dry basis for shares of the sample
    std::size_t samples = 0; // re-read samples it was estimated from; 0: from the rules
};

using SdKey = std::pair<std::uint8_t, ConstituentId>; // material index, constituent

// A rules file's own value first; else the season's, pooled over samples read again within a session, when
// there are enough of them (`repeats_own_sd`); else the built-in one. Nothing where none is known.
std::map<SdKey, RepeatabilitySd> repeatability_in_force(const Evidence& evidence);

// Usable readings of a sample in one session and material, with their values on dry basis.
struct RepeatGroup {
    std::uint32_t sample, session;
    std::uint8_t material;
    std::vector<RowId> rows;
};
// Groups of at least two, in order of sample, session, material.
std::vector<RepeatGroup> repeat_groups(const Evidence& evidence, std::uint32_t first, std::uint32_t last);

// The value of a reading for comparing it with its repeats: shares of the sample on dry basis, everything
// else (moisture too) as read. Nothing when absent, marked to be excluded, or its moisture is absent.
std::optional<double> comparable(const Evidence& evidence, RowId row, ConstituentId constituent);

} // namespace thresh::rules

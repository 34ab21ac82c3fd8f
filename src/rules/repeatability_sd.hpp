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

// Usable readings of a sample in one session and material, at least two of them.
struct RepeatGroup {
    std::uint32_t sample, session;
    std::uint8_t material;
    std::vector<RowId> rows;
};
// A group's spread in one key constituent: only groups with at least two comparable values have one.
struct RepeatSpread {
    std::uint32_t group;
    ConstituentId constituent;
    std::uint32_t n;
    double range;
};
struct RepeatGroups {
    std::vector<RepeatGroup> groups;   // in order of sample, session, material
    std::vector<RepeatSpread> spreads; // in order of group, key constituents in their own order
};
RepeatGroups repeat_groups(const Evidence& evidence);

// A rules file's own value first; else the season's, from samples read again within a session, when there are
// enough of them (`repeats_own_sd`); else the built-in one. Nothing where none is known.
std::map<SdKey, RepeatabilitySd> repeatability_in_force(const Evidence& evidence, const RepeatGroups& groups);

// The value of a reading for comparing it with its repeats: shares of the sample on dry basis, everything
// else (moisture too) as read. Nothing when absent, marked to be excluded, or its moisture is absent.
std::optional<double> comparable(const Evidence& evidence, RowId row, ConstituentId constituent);

} // namespace thresh::rules

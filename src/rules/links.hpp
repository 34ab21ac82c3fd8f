// Readings of samples that were read in more than one session: all that tells drift from seed.
#pragma once

#include "rules/rule.hpp"

#include <map>
#include <set>
#include <thresh/rules/drift.hpp>

namespace thresh::rules {

struct Link {
    std::uint8_t material;
    TextId instrument;
    std::uint32_t sample, session;
    RowId row;
    bool stable;          // its moisture is that of the sample's other readings, within kMoistureChange
    bool stable_here;     // the same among those on its instrument: moisture meters differ, and so does time
    double moisture;      // NaN when absent
    std::uint32_t values; // index of its first value in Links::values
};

// Usable readings of every sample that was read in two sessions or more in one material, and readings of
// controls that have no chart.
struct Links {
    std::vector<Link> all;      // in order of material, sample, session, row
    std::vector<double> values; // decoded once: readings of a sample lie far apart

    // Of drift_constituents(link.material)[k], as ComparableValues has it; NaN when there is none, or when
    // repeats-disagree names the sample in it.
    double value(const Link& link, std::size_t k) const { return values[link.values + k]; }
};
Links links(const Evidence& evidence);

// Samples with the constituents in which repeats-disagree names them: which pack was right is not known, so
// they tell nothing of drift and precision.
using Disagreeing = std::set<std::pair<std::uint32_t, ConstituentId>>;
Disagreeing disagreeing(const Judgement& judgement);
// Samples whose ID stands for two seeds: they link no sessions.
std::set<std::uint32_t> reused_samples(const Judgement& judgement);

// The repeatability SD in force, or 0 where none is known: smaller shifts are not worth a finding.
double least_shift(const Judgement& judgement, std::uint8_t material, ConstituentId constituent);

// Which sessions are told of: those with an offset in some constituent, those that share samples with others,
// or all.
enum class OffsetsOf { shifted, linked, all };

// The parts of find_drift, each from the one before.
std::vector<SessionOffset> session_offsets(const Evidence& evidence, const Links& links, OffsetsOf wanted);
std::vector<InstrumentDifference> instrument_differences(const Evidence& evidence, const Links& links,
                                                         const std::vector<SessionOffset>& offsets);
std::vector<MoistureSlope> moisture_slopes(const Evidence& evidence, const Links& links,
                                           const std::vector<SessionOffset>& offsets);

// Key constituents of a material whose drift is looked for: all but moisture.
std::vector<ConstituentId> drift_constituents(const Evidence& evidence, std::uint8_t material);

} // namespace thresh::rules

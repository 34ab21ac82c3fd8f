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
    bool stable;     // its moisture is that of the sample's other readings, within kMoistureChange
    double moisture; // NaN when absent
};

// Usable readings of every sample that was read in two sessions or more in one material, and readings of
// controls that have no chart. In order of material, sample, session, row.
std::vector<Link> links(const Evidence& evidence);

// Samples with the constituents in which repeats-disagree names them: which pack was right is not known, so
// they tell nothing of drift and precision.
using Disagreeing = std::set<std::pair<std::uint32_t, ConstituentId>>;
Disagreeing disagreeing(const Judgement& judgement);

// The repeatability SD in force, or 0 where none is known: smaller shifts are not worth a finding. Worked out
// once, when it is first asked for.
class LeastShift {
  public:
    explicit LeastShift(const Evidence& evidence) : evidence_(evidence) {}
    double operator()(std::uint8_t material, ConstituentId constituent);

  private:
    const Evidence& evidence_;
    std::optional<std::map<std::pair<std::uint8_t, ConstituentId>, double>> sd_;
};

// The parts of find_drift, each from the one before.
std::vector<SessionOffset> session_offsets(const Evidence& evidence, const std::vector<Link>& all,
                                           LeastShift& least, bool all_sessions);
std::vector<InstrumentDifference> instrument_differences(const Evidence& evidence,
                                                         const std::vector<Link>& all,
                                                         const std::vector<SessionOffset>& offsets,
                                                         LeastShift& least);
std::vector<MoistureSlope> moisture_slopes(const Evidence& evidence, const std::vector<Link>& all,
                                           const std::vector<SessionOffset>& offsets, LeastShift& least);

// Key constituents of a material whose drift is looked for: all but moisture.
std::vector<ConstituentId> drift_constituents(const Evidence& evidence, std::uint8_t material);

} // namespace thresh::rules

// Drift that no control shows, estimated only through samples that were read more than once: offsets of
// sessions, differences between instruments, dependence on moisture, and the precision found in the season.
// Lines grown at different places never enter. Values are compared on dry basis, parts of oil and protein as
// read; only usable readings count (and controls that have no chart of their own).
#pragma once

#include <thresh/rules/judge.hpp>
#include <thresh/stats/sessions.hpp>

#include <optional>
#include <vector>

namespace thresh::rules {

// A sample whose moisture changed by more than this between readings is not the same any more: it links no
// sessions and no instruments, and tells about moisture instead. Percent points.
inline constexpr double kMoistureChange = 0.5;

// Of the samples that two sessions share, about so many are compared, those of changed moisture counted
// apart: the error of a mean of more is far below anything worth a finding. Which ones is told by their IDs
// alone, so that readings added later change nothing.
inline constexpr std::size_t kEnoughSamples = 4000;

struct SessionOffset {
    std::uint32_t session = kNone; // index into Batch::sessions
    std::uint8_t material = 0;
    ConstituentId constituent = kNoConstituent;
    std::size_t readings = 0; // of the material in the session, usable, with a value
    stats::ShiftedSession found;
};

struct InstrumentDifference {
    TextId first = kNoText, second = kNoText; // in bytewise order of name
    std::uint8_t material = 0;
    ConstituentId constituent = kNoConstituent;
    std::size_t samples = 0;  // read on both
    double difference = 0;    // second less first, mean over samples; sessions found to be off left out
    double low = 0, high = 0; // 95 % confidence interval
    double p = 1;             // paired t test
    bool differ = false;      // p within the budget, and the difference at least the repeatability SD
    std::size_t readings = 0; // on the second instrument that the samples have
    RowId row = kNone;        // the first of these
};
inline constexpr std::size_t kFewestPairs = 5;

struct MoistureSlope {
    TextId instrument = kNoText;
    std::uint8_t material = 0;
    ConstituentId constituent = kNoConstituent;
    std::size_t samples = 0;  // read at moistures more than kMoistureChange apart
    double slope = 0;         // percent (dry basis) per percent point of moisture
    double low = 0, high = 0; // 95 % confidence interval
    double p = 1;
    double span = 0; // of the moistures
    bool depends = false;
    RowId row = kNone; // first reading
};

struct Drift {
    // Of sessions that share samples with others of their instrument, for the material's key constituents but
    // moisture (which changes while seed lies). In order of session, material, constituent.
    std::vector<SessionOffset> sessions;
    // Of every pair of instruments that read at least kFewestPairs samples of a material both.
    std::vector<InstrumentDifference> instruments;
    std::vector<MoistureSlope> moisture;
};
// `all_sessions`: also those that share no sample, as not known, with their number of readings.
Drift find_drift(const batch::Batch& batch, const Ruleset& rules, const Judgement& judgement,
                 bool all_sessions = false);

// Precision found in the season, of one material and constituent.
struct Precision {
    std::uint8_t material = 0;
    ConstituentId constituent = kNoConstituent;
    std::optional<double> repeatability; // SD within sessions, pooled over samples (ISO 5725-2)
    double repeatability_df = 0;
    std::optional<double> intermediate; // SD between sessions of an instrument: within and between together
    std::size_t between_samples = 0;    // samples that it rests on
};
// Samples whose readings repeats-disagree names are left out of its constituent, and so are values of another
// share than results have (core/shares.hpp). In order of material, constituent; those without any repeat are
// left out.
std::vector<Precision> precision_found(const batch::Batch& batch, const Ruleset& rules,
                                       const Judgement& judgement);

} // namespace thresh::rules

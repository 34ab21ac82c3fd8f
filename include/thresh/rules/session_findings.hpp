// What a finding about a session is about: all of its readings, or one constituent of some of them.
#pragma once

#include <thresh/core/finding.hpp>
#include <thresh/rules/ruleset.hpp>

namespace thresh::rules {

// A control or an offset is about one constituent and marks values; a wavelength standard, whatever column
// holds it, is about whole readings.
inline bool about_one_constituent(const Finding& finding, const Ruleset& rules) {
    return finding.constituent != kNoConstituent &&
           rules.constituents[finding.constituent].group != Group::instrument;
}

// Whether an open finding of this severity or a stronger one lies on every reading of a session.
inline bool about_whole_session(const Finding& finding, Severity least, const Ruleset& rules) {
    return finding.about == About::session && finding.subject != kNone && !finding.settled &&
           finding.severity >= least && !about_one_constituent(finding, rules);
}

} // namespace thresh::rules

// The summary that a technician reads on standard error after a run.
#pragma once

#include <thresh/summary/overview.hpp>

#include <string>

namespace thresh::report {

// How many readings can be trusted, which lines have no number yet, what to do first, what had to be assumed,
// and the moisture of the seed with its window. Ends with a line feed; no colour, nothing wider than `width`
// where words allow it (0 = 80).
std::string season_summary(const summary::Overview& overview, unsigned width = 0);

// The one line of a successful run: `312 of 340 readings can be used (12 to review); 4 of 132 lines have no
// number`. No line feed.
std::string summary_line(const summary::Overview& overview);

} // namespace thresh::report

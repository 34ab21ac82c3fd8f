// Findings that ask for nothing any more.
#pragma once

#include <thresh/summary/tables.hpp>

namespace thresh::summary {

// Whether a decision drops the value of a reading, or the whole reading; kNoConstituent: the latter.
bool is_dropped(const rules::Judgement& judgement, RowId row, ConstituentId constituent);

// Whether a decision or another reading settled the finding. Excluded values count as read again once a later
// reading has the value and nothing against it; what only is under review does not: reading again until a
// value fits would be selection on noise.
bool nothing_left(const Season& season, const Finding& finding);

} // namespace thresh::summary

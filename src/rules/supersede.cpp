// Faults are known by their declarations. A reading is clean when it carries none and neither does its
// session; it may carry any finding about its values.
#include "rules/supersede.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

Time time_of(const batch::Batch& batch, RowId row) {
    return batch.block_of(row).time_of(batch.in_block(row));
}

// Order of reading: by time where both have one, else as exported.
bool later(const batch::Batch& batch, RowId a, RowId b) {
    const Time first = time_of(batch, a), second = time_of(batch, b);
    if (first.missing() || second.missing() || first == second)
        return a > b;
    return first > second;
}

} // namespace

void supersede(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement) {
    std::vector<bool> faulty(batch.kind.size(), false);
    bool any = false;
    for (const Finding& finding : judgement.findings) {
        if (!catalogue()[finding.code].fault || finding.severity < Severity::review || finding.settled)
            continue;
        any = true;
        if (finding.about == About::reading)
            faulty[finding.row] = true;
        if (finding.about == About::session && finding.subject != kNone)
            for (const RowId row : batch.sessions[finding.subject].rows)
                if (finding.constituent == kNoConstituent ||
                    rules.constituents[finding.constituent].group == Group::instrument)
                    faulty[row] = true;
    }
    for (const auto& of_session : judgement.session_marks) {
        any = true;
        faulty[of_session.mark.row] = true;
    }
    if (!any)
        return;

    std::vector<bool> replaced(batch.kind.size(), false);
    for (std::uint32_t sample = 0; sample < batch.samples.size(); ++sample) {
        const auto rows = batch.rows_of(sample);
        for (const RowId row : rows) {
            if (!faulty[row] || judgement.verdict[row] == Verdict::superseded)
                continue;
            replaced[row] = std::any_of(rows.begin(), rows.end(), [&](RowId other) {
                return !faulty[other] && batch.material[other] == batch.material[row] &&
                       judgement.verdict[other] <= Verdict::review && later(batch, other, row);
            });
            if (replaced[row])
                judgement.verdict[row] = Verdict::superseded;
        }
    }
    for (Finding& finding : judgement.findings)
        if (finding.row != kNone && (finding.about == About::reading || finding.about == About::value) &&
            replaced[finding.row])
            finding.settled = true;
}

} // namespace thresh::rules

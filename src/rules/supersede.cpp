// Faults are known by their declarations. A reading is clean when it carries none and neither does its
// session; it may carry any finding about its values.
#include "rules/supersede.hpp"

#include <thresh/rules/session_findings.hpp>

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

bool supersede(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement) {
    std::vector<bool> faulty(batch.kind.size(), false);
    std::vector<RowId> faults; // the rows that are, some more than once
    const auto add = [&](RowId row) {
        faulty[row] = true;
        faults.push_back(row);
    };
    const std::vector<Declaration>& declared = catalogue();
    for (const Finding& finding : judgement.findings) {
        if (!declared[finding.code].fault || finding.severity < Severity::review || finding.settled)
            continue;
        if (finding.about == About::reading)
            add(finding.row);
        if (about_whole_session(finding, Severity::review, rules))
            for (const RowId row : batch.sessions[finding.subject].rows)
                add(row);
    }
    for (const auto& of_session : judgement.session_marks)
        add(of_session.mark.row);

    // What replaces a reading is never replaced itself, so the order of looking does not matter.
    std::vector<bool> replaced(batch.kind.size(), false);
    bool any = false;
    for (const RowId row : faults) {
        if (batch.kind[row] != Kind::seed || batch.sample[row] == kNone ||
            judgement.verdict[row] == Verdict::superseded)
            continue;
        const auto rows = batch.rows_of(batch.sample[row]);
        if (std::none_of(rows.begin(), rows.end(), [&](RowId other) {
                return !faulty[other] && batch.material[other] == batch.material[row] &&
                       judgement.verdict[other] <= Verdict::review && later(batch, other, row);
            }))
            continue;
        replaced[row] = any = true;
        judgement.verdict[row] = Verdict::superseded;
    }
    if (!any)
        return false;
    for (Finding& finding : judgement.findings)
        if (finding.row != kNone && (finding.about == About::reading || finding.about == About::value) &&
            replaced[finding.row])
            finding.settled = true;
    return true;
}

} // namespace thresh::rules

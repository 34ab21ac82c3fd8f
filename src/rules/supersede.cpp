// Faults are known by their declarations. A reading is clean when it carries none and neither does its
// session; it may carry any finding about its values.
#include "rules/supersede.hpp"

#include <thresh/rules/read_later.hpp>

#include <thresh/rules/session_findings.hpp>

#include <algorithm>

namespace thresh::rules {

std::vector<RowId> replaced_readings(const batch::Batch& batch, const Ruleset& rules,
                                     const Judgement& judgement) {
    std::vector<bool> faulty(batch.kind.size(), false);
    std::vector<RowId> faults; // the rows that are, each once
    const auto add = [&](RowId row) {
        if (!faulty[row])
            faults.push_back(row);
        faulty[row] = true;
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
    std::erase_if(faults, [&](RowId row) {
        if (batch.kind[row] != Kind::seed || batch.sample[row] == kNone)
            return true;
        const auto rows = batch.rows_of(batch.sample[row]);
        return std::none_of(rows.begin(), rows.end(), [&](RowId other) {
            return !faulty[other] && batch.material[other] == batch.material[row] &&
                   judgement.verdict[other] <= Verdict::review && read_later(batch, other, row);
        });
    });
    return faults;
}

bool supersede(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement) {
    const std::vector<RowId> replaced = replaced_readings(batch, rules, judgement);
    if (replaced.empty())
        return false;
    for (const RowId row : replaced)
        judgement.verdict[row] = Verdict::superseded;
    for (Finding& finding : judgement.findings)
        if (finding.row != kNone && (finding.about == About::reading || finding.about == About::value) &&
            judgement.verdict[finding.row] == Verdict::superseded)
            finding.settled = true;
    return true;
}

} // namespace thresh::rules

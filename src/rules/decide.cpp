// A decision has been narrowed down to readings by the batch; here its code and constituent are looked at.
#include "rules/decide.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <thresh/batch/has_more.hpp>

namespace thresh::rules {

namespace {

// A file alone names none: a keep of it is about findings on the file.
bool names_reading(const batch::Decision& decision) {
    return !decision.sample.empty() || decision.row || !decision.time.missing();
}

// Whether a finding about a file stands where the decision says, as far as it says so.
bool stands_there(const batch::Decision& decision, const Finding& finding, const batch::Batch& batch) {
    const FindingPlace place = place_of(finding, batch);
    const bool other_sheet = decision.source.ends_with(']') && !place.sheet.empty() &&
                             !decision.source.ends_with(fmt::format("[{}]", place.sheet));
    if (other_sheet || (decision.row && *decision.row != place.line))
        return false;
    if (decision.sample.empty())
        return true;
    const std::uint32_t sample = finding.row == kNone ? kNone : batch.sample[finding.row];
    return sample != kNone && batch.samples[sample].id == decision.sample;
}

bool about_target(const Finding& finding, const batch::Decision& decision,
                  const batch::DecisionTarget& target, const batch::Batch& batch) {
    switch (finding.about) {
    case About::value:
    case About::reading:
        return names_reading(decision) &&
               std::binary_search(target.rows.begin(), target.rows.end(), finding.row);
    case About::sample:
        return target.sample == finding.subject;
    case About::line:
        return target.sample != kNone && batch.samples[target.sample].line == finding.subject;
    case About::session:
        return names_reading(decision) &&
               std::binary_search(target.rows.begin(), target.rows.end(), finding.row);
    case About::column:
    case About::file:
        return finding.subject != kNone && target.file == finding.subject &&
               stands_there(decision, finding, batch);
    default:
        return false;
    }
}

bool accepts(const batch::Decision& decision, const Finding& finding, const ConstituentTable& constituents) {
    if (!decision.code.empty() && decision.code != catalogue()[finding.code].code)
        return false;
    // What holds for a session is settled by its code only, not by accepting the sample it happens to stand
    // at.
    if (finding.about == About::session && decision.code.empty())
        return false;
    return decision.constituent.empty() || (finding.constituent != kNoConstituent &&
                                            constituents[finding.constituent].name == decision.constituent);
}

// The row that stands for the reading of `row`: another one where it was exported again and no value hangs on
// which of them counts. Where one does, a drop is about that row only.
RowId standing_row(const batch::Batch& batch, RowId row) {
    if (batch.kind[row] != Kind::repeated)
        return row;
    const auto at = std::ranges::lower_bound(batch.repeats, row, {}, &batch::Repeat::row);
    return at->changed || batch::has_more(batch, at->row, at->first) ? row : at->first;
}

} // namespace

void keep_findings(std::vector<Finding>& found, const batch::Batch& batch, const Ruleset& rules,
                   Judgement& judgement) {
    judgement.decision_met.resize(batch.decisions.size(), false);
    for (std::size_t i = 0; i < batch.decisions.size(); ++i) {
        const batch::Decision& decision = batch.decisions[i];
        if (decision.action != batch::Decision::Action::keep)
            continue;
        for (Finding& finding : found) {
            if (!about_target(finding, decision, batch.targets[i], batch) ||
                !accepts(decision, finding, rules.constituents))
                continue;
            finding.settled = true;
            judgement.decision_met[i] = true;
        }
    }
}

void drop_readings(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement) {
    for (std::uint32_t i = 0; i < batch.decisions.size(); ++i) {
        const batch::Decision& decision = batch.decisions[i];
        if (decision.action != batch::Decision::Action::drop)
            continue;
        const auto constituent = rules.constituents.find(decision.constituent);
        // A mistyped constituent must not drop the whole reading; decision-unmatched tells it.
        if (!constituent && !decision.constituent.empty())
            continue;
        for (const RowId named : batch.targets[i].rows) {
            const RowId row = standing_row(batch, named);
            if (batch.kind[row] != Kind::seed)
                continue;
            judgement.dropped.push_back({row, constituent.value_or(kNoConstituent), i});
            if (!constituent)
                judgement.verdict[row] = Verdict::exclude;
        }
    }
    std::sort(judgement.dropped.begin(), judgement.dropped.end(), [](const auto& a, const auto& b) {
        return std::tuple(a.row, a.constituent, a.decision) < std::tuple(b.row, b.constituent, b.decision);
    });
    // A decision that names both rows of a reading drops it once.
    const auto same = [](const auto& a, const auto& b) {
        return a.row == b.row && a.constituent == b.constituent && a.decision == b.decision;
    };
    judgement.dropped.erase(std::unique(judgement.dropped.begin(), judgement.dropped.end(), same),
                            judgement.dropped.end());
}

} // namespace thresh::rules

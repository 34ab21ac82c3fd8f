#include "summary/nothing_left.hpp"

#include <thresh/basis/values.hpp>
#include <thresh/rules/catalogue.hpp>
#include <thresh/rules/read_later.hpp>

#include <algorithm>

namespace thresh::summary {

namespace {

bool has_value(const batch::Batch& batch, RowId row, ConstituentId constituent) {
    const Block& block = batch.block_of(row);
    const auto column = block.table->find(constituent);
    return column && basis::raw_value(block, batch.in_block(row), *column);
}

// Precondition: the finding is about a value or a reading.
bool read_again_since(const Season& season, const Finding& finding) {
    const batch::Batch& batch = season.batch;
    const rules::Judgement& judgement = season.judgement;
    if (batch.kind[finding.row] != Kind::seed || batch.sample[finding.row] == kNone)
        return false;
    const ConstituentId constituent = finding.constituent;
    return std::ranges::any_of(batch.rows_of(batch.sample[finding.row]), [&](RowId other) {
        return batch.material[other] == batch.material[finding.row] &&
               judgement.verdict[other] == Verdict::use && rules::read_later(batch, other, finding.row) &&
               (constituent == kNoConstituent ||
                (judgement.mark(other, constituent) == Mark::use && has_value(batch, other, constituent)));
    });
}

} // namespace

bool is_dropped(const rules::Judgement& judgement, RowId row, ConstituentId constituent) {
    const auto end = judgement.dropped.end();
    auto at = std::ranges::lower_bound(judgement.dropped, row, {}, &rules::Judgement::Drop::row);
    while (at != end && at->row == row && at->constituent != kNoConstituent && at->constituent != constituent)
        ++at;
    return at != end && at->row == row;
}

bool nothing_left(const Season& season, const Finding& finding) {
    const rules::Action action = rules::catalogue()[finding.code].action;
    if (finding.settled)
        return true;
    if (finding.row == kNone ||
        action == rules::Action::nothing) // the latter is not settled by another reading
        return false;
    if (season.judgement.verdict[finding.row] == Verdict::superseded)
        return true;
    if (finding.about != About::value && finding.about != About::reading)
        return false;
    return is_dropped(season.judgement, finding.row, finding.constituent) ||
           (action == rules::Action::read_again && finding.severity == Severity::exclude &&
            read_again_since(season, finding));
}

} // namespace thresh::summary

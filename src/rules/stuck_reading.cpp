// stuck-reading: an export that repeats the values of the reading before under another ID. The instrument or
// its program handed out an old result; neither reading can be told from the other, so both go.
#include "rules/limits.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

// Fewer constituents than this agree by chance now and then (common practice, ours).
constexpr int kFewest = 3;

constexpr Declaration kDeclared[] = {
    {"stuck-reading", Severity::exclude, About::reading, Phase::reading, Action::read_again,
     "all values equal to the reading before, under another ID",
     "one of the two samples was not read: its values are those of its neighbour", "read both samples again",
     "`stuck_constituents` of the rules in force; two seed samples never agree in every digit", true},
};

// Shared numbers of two readings: how many, and whether all are equal as numbers.
struct Agreement {
    int shared = 0;
    bool equal = true;
};

Agreement compare(const Evidence& evidence, RowId a, RowId b) {
    const Block& in = evidence.batch.block_of(a);
    const Block& before = evidence.batch.block_of(b);
    const std::size_t row = evidence.batch.in_block(a), row_before = evidence.batch.in_block(b);
    Agreement found;
    for (std::size_t c = 0; c < in.table->numbers.size(); ++c) {
        const Column& column = in.table->numbers[c];
        if (column.part_of == PartOf::none)
            continue;
        const auto other =
            in.table == before.table ? std::optional(c) : before.table->find(column.constituent);
        if (!other)
            continue;
        // Most neighbours differ in the first number that is looked at.
        const Cell here = in.cell(row, c), there = before.cell(row_before, *other);
        if (here.is_decimal() && there.is_decimal() && here.decimals() == there.decimals() && here != there) {
            found.equal = false;
            return found;
        }
        const auto x = basis::raw_value(in, row, c), y = basis::raw_value(before, row_before, *other);
        if (x.has_value() != y.has_value() || (x && *x != *y))
            found.equal = false;
        if (!found.equal)
            return found;
        found.shared += x.has_value();
    }
    return found;
}

class StuckReading final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    // Detail: the reading that it equals.
    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        const int enough = evidence.rules.tests.stuck_constituents;
        for (const batch::Session& session : batch.sessions) {
            for (std::size_t i = 1; i < session.rows.size(); ++i) {
                const RowId row = session.rows[i], before = session.rows[i - 1];
                if (batch.kind[row] != Kind::seed || batch.kind[before] != Kind::seed)
                    continue;
                if (batch.sample[row] == batch.sample[before])
                    continue;
                const Agreement found = compare(evidence, row, before);
                if (!found.equal || found.shared < std::min(kFewest, enough))
                    continue;
                std::optional<Severity> own;
                if (found.shared < enough)
                    own = sink.at_most(0, Severity::review);
                sink.reading(0, before, own, row);
                sink.reading(0, row, own, before);
            }
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Batch& batch = evidence.batch;
        const std::uint32_t other = batch.sample[finding.detail];
        FindingText text;
        text.message = fmt::format("all {} values equal those of `{}` (line {}), read {} it",
                                   compare(evidence, finding.row, finding.detail).shared,
                                   other == kNone ? "" : batch.samples[other].id,
                                   batch.block_of(finding.detail).line[batch.in_block(finding.detail)],
                                   finding.detail < finding.row ? "before" : "after");
        return text;
    }
};

} // namespace

const Rule& rule_stuck_reading() {
    static const StuckReading rule;
    return rule;
}

} // namespace thresh::rules

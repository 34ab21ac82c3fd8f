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
        const auto x = basis::raw_value(in, row, c), y = basis::raw_value(before, row_before, *other);
        if (x.has_value() != y.has_value() || (x && *x != *y))
            found.equal = false;
        if (!found.equal)
            return found;
        found.shared += x.has_value();
    }
    return found;
}

// Tells nearly all pairs of neighbours apart by one cell, the first number of their table.
class FirstNumber {
  public:
    explicit FirstNumber(const batch::Batch& batch) : batch_(batch) {}

    void take(RowId row) {
        before_ = now_;
        if (block_ == nullptr || row - block_->first >= block_->rows) { // true too where it lies before
            block_ = &batch_.block_of(row);
            const auto& numbers = block_->table->numbers;
            const auto part = [](const Column& column) { return column.part_of != PartOf::none; };
            column_ = static_cast<std::size_t>(std::find_if(numbers.begin(), numbers.end(), part) -
                                               numbers.begin());
            there_ = column_ < numbers.size();
        }
        now_ = {block_->table.get(), there_ ? block_->cell(row - block_->first, column_) : Cell()};
    }
    // Of the last two taken. False: they may still differ.
    bool differs() const {
        return now_.table == before_.table && now_.cell != before_.cell && now_.cell.is_decimal() &&
               before_.cell.is_decimal() && now_.cell.decimals() == before_.cell.decimals();
    }

  private:
    struct Read {
        const TableColumns* table = nullptr;
        Cell cell;
    };
    const batch::Batch& batch_;
    const Block* block_ = nullptr;
    std::size_t column_ = 0;
    bool there_ = false;
    Read before_, now_;
};

class StuckReading final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    // Detail: the reading that it equals.
    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        const int enough = evidence.rules.tests.stuck_constituents;
        FirstNumber number(batch);
        for (const batch::Session& session : batch.sessions) {
            for (std::size_t i = 0; i < session.rows.size(); ++i) {
                const RowId row = session.rows[i];
                number.take(row);
                if (i == 0 || number.differs())
                    continue;
                const RowId before = session.rows[i - 1];
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

// stuck-reading: an export that repeats the values of the reading before under another ID. The instrument or
// its program handed out an old result; neither reading can be told from the other, so both go.
// reading-renamed: the two are of one second and stand in two exports. No instrument reads two samples in a
// second: it is one reading, exported again after its ID was changed.
#include "rules/limits.hpp"
#include "rules/row_place.hpp"
#include <thresh/rules/read_later.hpp>

#include <algorithm>

namespace thresh::rules {

namespace {

// Fewer constituents than this agree by chance now and then (common practice, ours).
constexpr int kFewest = 3;

constexpr unsigned kStuck = 0, kRenamed = 1;
constexpr Declaration kDeclared[] = {
    {"stuck-reading", Severity::exclude, About::reading, Phase::reading, Action::read_again,
     "all values equal to the reading before, under another ID",
     "one of the two samples was not read: its values are those of its neighbour", "read both samples again",
     "`stuck_constituents` of the rules in force; two seed samples never agree in every digit", true},
    {"reading-renamed", Severity::review, About::reading, Phase::reading, Action::settle,
     "a reading that was exported before under another ID", "one seed counts under two IDs, and one is wrong",
     "enter `rename` in the decisions file for the row with the wrong ID",
     "same instrument, same second and same values in two exports"},
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

std::uint32_t file_of(const Evidence& evidence, RowId row) {
    return evidence.batch.block_of(row).file;
}

// Of one instrument. Times to the minute are too coarse to tell.
bool one_in_two_exports(const Evidence& evidence, RowId a, RowId b) {
    const Time time = evidence.batch.block_of(a).time_of(evidence.batch.in_block(a));
    return time.precision() == Time::Precision::second && file_of(evidence, a) != file_of(evidence, b) &&
           time == evidence.batch.block_of(b).time_of(evidence.batch.in_block(b));
}

// The first number of a reading's table: it tells nearly all pairs of neighbours apart.
struct FirstNumber {
    const TableColumns* table = nullptr;
    Cell cell;

    // False: the readings may still differ.
    bool differs(const FirstNumber& other) const {
        return table == other.table && cell != other.cell && cell.is_decimal() && other.cell.is_decimal() &&
               cell.decimals() == other.cell.decimals();
    }
};

class FirstNumbers {
  public:
    explicit FirstNumbers(const batch::Batch& batch) : batch_(batch) {}

    FirstNumber of(RowId row) {
        if (block_ == nullptr || row - block_->first >= block_->rows) { // true too where it lies before
            block_ = &batch_.block_of(row);
            const auto& numbers = block_->table->numbers;
            const auto part = [](const Column& column) { return column.part_of != PartOf::none; };
            column_ = static_cast<std::size_t>(std::find_if(numbers.begin(), numbers.end(), part) -
                                               numbers.begin());
            there_ = column_ < numbers.size();
        }
        return {block_->table.get(), there_ ? block_->cell(row - block_->first, column_) : Cell()};
    }

  private:
    const batch::Batch& batch_;
    const Block* block_ = nullptr;
    std::size_t column_ = 0;
    bool there_ = false;
};

// The readings of a session that come last before a row; few sessions take turns in a block.
class LastOfSessions {
  public:
    struct Last {
        std::uint32_t session;
        RowId row; // kNone: none in the block
        FirstNumber number;
    };
    // Of a session whose rows ascend, before `row`.
    Last& before(const Evidence& evidence, const Block& block, RowId row, FirstNumbers& numbers) {
        const std::uint32_t session = evidence.batch.session[row];
        const auto known = std::ranges::find(lasts_, session, &Last::session);
        if (known != lasts_.end())
            return *known;
        const std::vector<RowId>& rows = evidence.batch.sessions[session].rows;
        const auto at = std::ranges::lower_bound(rows, row);
        const RowId last = at == rows.begin() || *(at - 1) < block.first ? kNone : *(at - 1);
        lasts_.push_back({session, last, last == kNone ? FirstNumber() : numbers.of(last)});
        return lasts_.back();
    }

  private:
    std::vector<Last> lasts_;
};

class StuckReading final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    // Detail, here and below: the reading that it equals.
    // Pairs within a block are looked at while its cells are at hand for the other rules. That takes rows of
    // sessions in the order of the export, as nearly all are.
    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        FirstNumbers numbers(batch);
        LastOfSessions lasts;
        for (std::size_t r = first; r < last; ++r) {
            const auto row = static_cast<RowId>(block.first + r);
            if (batch.kind[row] == Kind::repeated || !batch.sessions[batch.session[row]].rows_ascend)
                continue;
            LastOfSessions::Last& before = lasts.before(evidence, block, row, numbers);
            const FirstNumber number = numbers.of(row);
            if (before.row != kNone && !number.differs(before.number))
                check_pair(evidence, before.row, row, sink);
            before.row = row;
            before.number = number;
        }
    }

    // All other pairs.
    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        for (const batch::Session& session : batch.sessions)
            session.rows_ascend ? check_seams(evidence, session.rows, sink)
                                : check_all(evidence, session.rows, sink);
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        const int shared = compare(evidence, finding.row, finding.detail).shared;
        const std::uint32_t other = evidence.batch.sample[finding.detail];
        const std::string_view id = other == kNone ? "" : evidence.batch.samples[other].id;
        FindingText text;
        if (which == kRenamed) {
            text.message =
                fmt::format("the same reading as {}, there under `{}`: same second, {} equal values",
                            row_place(evidence, finding.detail), id, shared);
            text.action = fmt::format("if `{}` is right, enter `rename` for {} in the decisions file", id,
                                      row_place(evidence, finding.row));
            return text;
        }
        text.message =
            fmt::format("all {} values equal those of `{}` ({}), read {} it", shared, id,
                        place_beside(evidence, finding.row, finding.detail),
                        read_later(evidence.batch, finding.row, finding.detail) ? "before" : "after");
        return text;
    }

  private:
    static void check_all(const Evidence& evidence, std::span<const RowId> rows, Sink& sink) {
        FirstNumbers numbers(evidence.batch);
        FirstNumber before;
        for (std::size_t i = 0; i < rows.size(); ++i) {
            const FirstNumber number = numbers.of(rows[i]);
            if (i > 0 && !number.differs(before))
                check_pair(evidence, rows[i - 1], rows[i], sink);
            before = number;
        }
    }
    // Where a session goes on in another block.
    static void check_seams(const Evidence& evidence, std::span<const RowId> rows, Sink& sink) {
        while (!rows.empty()) {
            const Block& block = evidence.batch.block_of(rows.front());
            const auto next = std::ranges::lower_bound(rows, block.first + block.rows);
            if (next != rows.begin() && next != rows.end())
                check_pair(evidence, *(next - 1), *next, sink);
            rows = std::span(next, rows.end());
        }
    }
    static void check_pair(const Evidence& evidence, RowId before, RowId row, Sink& sink) {
        const batch::Batch& batch = evidence.batch;
        const int enough = evidence.rules.tests.stuck_constituents;
        if (batch.kind[row] != Kind::seed || batch.kind[before] != Kind::seed ||
            batch.sample[row] == batch.sample[before])
            return;
        const Agreement found = compare(evidence, row, before);
        if (!found.equal || found.shared < std::min(kFewest, enough))
            return;
        const unsigned which = one_in_two_exports(evidence, before, row) ? kRenamed : kStuck;
        std::optional<Severity> own;
        if (which == kStuck && found.shared < enough)
            own = sink.at_most(kStuck, Severity::review);
        sink.reading(which, before, own, row);
        sink.reading(which, row, own, before);
    }
};

} // namespace

const Rule& rule_stuck_reading() {
    static const StuckReading rule;
    return rule;
}

} // namespace thresh::rules

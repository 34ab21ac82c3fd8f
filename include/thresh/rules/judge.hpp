// Runs every rule over a batch, phase by phase, and settles marks and verdicts.
#pragma once

#include <thresh/batch/batch.hpp>
#include <thresh/core/finding.hpp>
#include <thresh/rules/catalogue.hpp>
#include <thresh/rules/ruleset.hpp>

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace thresh::rules {

// The words of a finding, made when it is shown.
struct FindingText {
    std::optional<double> value, low, high;
    std::string basis;   // of value and limits: "13", "dry", "as-is", empty where it has none
    std::string message; // one sentence, no capital, no full stop
    std::string action;  // what to do
};

struct RepeatabilitySd {
    double sd = 0;           // percent, on dry basis for shares of the sample
    std::size_t samples = 0; // re-read samples it was estimated from; 0: from the rules
};

class Judgement {
  public:
    struct ValueMark {
        RowId row;
        ConstituentId constituent;
        Mark mark;
    };
    std::vector<Finding> findings; // source, row, constituent, code; then sessions, samples, lines, files
    std::vector<Verdict> verdict;  // by RowId; `use` for rows that are not seed

    // Strongest finding about one value. `table_column` indexes the block's table.
    Mark mark(RowId row, ConstituentId constituent) const;
    // Whether any value of the row has a mark other than use (fast: most rows have none).
    bool has_marks(RowId row) const { return (row_flags[row] & kMarked) != 0; }
    // False only when no finding is about the reading or one of its values, and none of its values is marked.
    bool may_be_told(RowId row) const { return row_flags[row] != 0; }
    // Makes row_flags, marked_rows and first_mark anew from `marks` and `findings`, both in order, for `rows`
    // readings.
    void index_marks(std::size_t rows, unsigned threads = 1);
    // All marks of a row's values, by constituent.
    std::span<const ValueMark> marks_of(RowId row) const;
    // The findings about a reading and its values, a sample, a session, a line.
    std::span<const Finding> of_row(RowId row) const { return slice(by_row, row); }
    std::span<const Finding> of_sample(std::uint32_t sample) const { return slice(by_sample, sample); }
    std::span<const Finding> of_session(std::uint32_t session) const { return slice(by_session, session); }
    std::span<const Finding> of_line(std::uint32_t line) const { return slice(by_line, line); }

    // What each constituent is a share of in results, by ConstituentId (core/shares.hpp): values of another
    // share enter none and are compared with none.
    std::vector<PartOf> shares;

    // By material and constituent: what repeats were judged by.
    std::map<std::pair<std::uint8_t, ConstituentId>, RepeatabilitySd> repeatability_sd;

    // Built by `judge`.
    std::vector<ValueMark> marks;        // sorted by row, constituent; only marks other than use
    std::vector<std::uint8_t> row_flags; // by RowId
    static constexpr std::uint8_t kHasReview = 1, kHasExclude = 2, kMarked = kHasReview | kHasExclude,
                                  kHasFinding = 4;
    // By row / 64: which of these rows have marks, and how many rows before them.
    struct MarkedRows {
        std::uint64_t rows = 0;
        std::uint32_t before = 0;
    };
    std::vector<MarkedRows> marked_rows;
    std::vector<std::uint32_t> first_mark; // of each row with marks; behind them the number of marks
    // Where in `findings` those about each row, sample, session and line begin; behind the last, where they
    // end.
    using Begins = std::vector<std::uint32_t>;
    Begins by_row, by_sample, by_session, by_line;
    // Values that a finding about a session marks: of one constituent, on readings of that session and of
    // those around it. They go with the finding: of that code, at the row `cause`.
    struct SessionMark {
        ValueMark mark;
        RowId cause;
        std::uint16_t code = 0; // index into the catalogue
        bool is_of(const Finding& finding) const {
            return finding.code == code && finding.row == cause && finding.constituent == mark.constituent;
        }
    };
    std::vector<SessionMark> session_marks; // once all is judged: sorted by row
    std::span<const SessionMark> session_marks_of(RowId row) const;
    // Usable readings that another presentation of the sample outranks (whole and ground); their verdict is
    // superseded, and they make no row of their own in `lines`. Sorted.
    std::vector<RowId> outranked;
    // What decisions dropped: a reading, or one of its values.
    struct Drop {
        RowId row;
        ConstituentId constituent; // kNoConstituent: the whole reading
        std::uint32_t decision;    // index into the batch's decisions
    };
    std::vector<Drop> dropped;        // sorted by row
    std::vector<bool> decision_met;   // by decision: whether a `keep` met a finding
    std::vector<std::string> details; // texts that rules keep for their findings (Finding::detail)

  private:
    std::span<const Finding> slice(const Begins& begins, std::size_t place) const {
        return std::span(findings).subspan(begins[place], begins[place + 1] - begins[place]);
    }
};

Judgement judge(const batch::Batch& batch, const Ruleset& rules, unsigned threads);

// Where a finding stands: the reading it is about, the column, the file, or the list that names its subject.
// Texts are those of the batch.
struct FindingPlace {
    std::string_view source;    // of the file or list; empty when it stands nowhere in particular
    std::uint32_t file = kNone; // index into the batch's files, kNone for lists
    std::string_view sheet;
    std::uint32_t line = 0;                // physical line or sheet row, 0 = the whole file
    std::optional<std::uint32_t> position; // column in the sheet, from 0
    std::string_view column;               // its heading
    RowId row = kNone;                     // the reading, when there is one
};
FindingPlace place_of(const Finding& finding, const batch::Batch& batch);

FindingText describe(const Finding& finding, const Judgement& judgement, const batch::Batch& batch,
                     const Ruleset& rules);

} // namespace thresh::rules

// The result tables of a run: exactly the columns, order and arithmetic of the contract (docs/tables.md).
#pragma once

#include <thresh/rules/judge.hpp>
#include <thresh/summary/table.hpp>

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

// Everything a table is made from; all must outlive the table.
struct Season {
    const batch::Batch& batch;
    const rules::Judgement& judgement;
    const rules::Ruleset& rules;
    unsigned threads = 1;
};

// Means of every material and sample, shared by `samples`, `lines` and others (sample_means.hpp).
// A sample's mean: arithmetic mean of its usable values in a material, each converted with its own reading's
// moisture; summed whole by one thread in canonical order.
class SampleMeans;
class KeptMeans;
class TrialModels;
class Decisions;
std::shared_ptr<const SampleMeans> sample_means(const Season& season);

struct LinesOptions {
    bool long_form = false;
    std::vector<std::string> by; // --by: columns after material instead of trial,line; from parse_by
    // --trial-model, --cut-off: must outlive the table; not together with `by`.
    const TrialModels* trials = nullptr;
    const Decisions* decisions = nullptr;
    // Means that samples_table kept; must outlive the table. Those that are not there are computed.
    const KeptMeans* kept = nullptr;
};
// `trial,environment`: columns of the sample list to group by; material always comes first, because means
// over materials on different bases mean nothing. Error: a name that the list cannot hold.
Result<std::vector<std::string>> parse_by(std::string_view text);

std::unique_ptr<Table> lines_table(const Season& season, const SampleMeans& means,
                                   const LinesOptions& options);
// `keep`: where the means of written rows are left for lines_table.
std::unique_ptr<Table> samples_table(const Season& season, const SampleMeans& means,
                                     KeptMeans* keep = nullptr);

struct ReadingsOptions {
    bool as_read = false;   // adds unconverted values
    bool long_form = false; // one row a value, with its mark
    // Only readings of seed that are not plainly usable: verdict review, exclude or superseded, or a value
    // that its own findings mark. Not with long_form.
    bool flagged = false;
};
std::unique_ptr<Table> readings_table(const Season& season, const ReadingsOptions& options);
std::unique_ptr<Table> findings_table(const Season& season);
// With `decisions` a column says which decision about a line the item would settle; those come first among
// their kind.
std::unique_ptr<Table> todo_table(const Season& season, const Decisions* decisions = nullptr);
// `charts`: with a column of small charts in text, for people.
std::unique_ptr<Table> drift_table(const Season& season, bool charts);
std::unique_ptr<Table> rejected_table(const Season& season);

// rows = use + review + exclude + superseded + standard + control + repeated + ignored + outside_selection +
// rejected + not_a_reading, per file and in total.
struct Accounting {
    struct Counts {
        std::string source;
        std::size_t rows = 0, use = 0, review = 0, exclude = 0, superseded = 0, standard = 0, control = 0,
                    repeated = 0, ignored = 0, outside_selection = 0, rejected = 0, not_a_reading = 0,
                    lines_skipped = 0;
        bool refused = false;
        bool adds_up() const;
    };
    Counts total;
    std::vector<Counts> files;
};
Accounting account(const Season& season);

} // namespace thresh::summary

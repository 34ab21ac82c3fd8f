// Trials of the sample list analysed constituent by constituent: adjusted means, predictions, precision and
// comparisons with checks. The design is what the list says of trial, environment (with year), rep, block and
// check; one value a plot, as in `lines`. Ratios are not analysed: they are of means.
#pragma once

#include <thresh/stats/trial.hpp>
#include <thresh/summary/sample_means.hpp>

#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

struct TrialModelOptions {
    stats::TrialOptions model;       // effects, level, best, seed; checks are filled in
    std::vector<std::string> checks; // names of lines to compare with; empty: every check of the trial
    bool compare = true;             // with checks; without, `against` is empty and much time is saved
    bool plain = false;              // Student's t for each comparison alone in place of Dunnett's
    std::set<ConstituentId> low;     // constituents of which less is better: for ranks and chances
    bool certain = false;            // without readings and values under review
    std::set<ConstituentId> only;    // empty: all
};

// The rules' settings (`trials`), overlaid by `EFFECT=fixed`, `=random` or `=none` for environment, rep,
// block, line_by_environment. Errors: an effect or word that is none.
Result<stats::TrialOptions> trial_effects(const rules::Ruleset& rules,
                                          const std::vector<std::string>& effects);

// One constituent in one trial and material.
struct TrialTrait {
    std::string material, trial; // trial empty where the list has none
    std::uint8_t material_index = 0;
    std::size_t slot = 0;
    bool read = false;              // whether the trial has any value of it, used or not; without one the
                                    // trait is in no table
    std::vector<std::string> lines; // names by line code
    std::optional<stats::TrialAnalysis> analysis;
    std::vector<std::string> notes;       // what could not be had and why; the analysis' own among them
    std::vector<std::optional<int>> rank; // by line code, of the predictions, 1 best; ties share the better
};

class TrialModels {
  public:
    // Errors: a check that no trial has.
    static Result<TrialModels> fit(const SampleMeans& means, const TrialModelOptions& options);

    const std::vector<TrialTrait>& traits() const { return traits_; } // by material, trial, table order
    // Checks by name, bytewise, of all trials.
    const std::vector<std::string>& checks() const { return checks_; }
    // What stands for CHECK in column names, beside checks(): `ck_amber`; names that would be equal are
    // numbered.
    const std::vector<std::string>& check_columns() const { return check_columns_; }
    const TrialModelOptions& options() const { return options_; }

    struct Place {
        const TrialTrait* trait = nullptr;
        int line = 0;
    };
    // Row `group` of `lines` (rows in its order) and a slot; null trait where nothing was analysed.
    Place place(std::size_t group, std::size_t slot) const;
    // A line against a check, simultaneous (Dunnett) or, when asked, plain (t alone).
    struct Difference {
        double difference = 0, se = 0, p = 1, low = 0, high = 0;
    };
    // Nothing when there is none.
    std::optional<Difference> against(const Place& place, std::string_view check) const;

    // Model and notes of every trial, for people; traits that say the same together.
    std::string words(const Season& season) const;

  private:
    TrialModelOptions options_;
    std::vector<TrialTrait> traits_;
    std::vector<std::string> checks_, check_columns_;
    std::size_t slots_ = 0;
    std::vector<ConstituentId> constituent_of_slot_;
    std::vector<std::size_t> first_trait_;   // by group: its trial's first trait
    std::vector<int> code_;                  // by group
    std::vector<std::size_t> trait_of_slot_; // offset within a trial's traits; kNoSlot: not analysed
};

std::unique_ptr<Table> trials_table(const Season& season, const SampleMeans& means,
                                    const TrialModels& models);

} // namespace thresh::summary

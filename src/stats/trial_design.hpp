// Which effects a trial's design supports. Private to stats.
#pragma once

#include <optional>
#include <string>
#include <thresh/stats/trial.hpp>
#include <vector>

namespace thresh::stats {

// The factors of one trial that take part, apart from the line.
struct TrialDesign {
    Factor line;
    Factor environment; // one level when the design has none
    std::optional<Factor> rep;
    std::optional<Factor> block;
    std::optional<Factor> line_by_environment;
    bool environment_fixed = true;
    bool rep_fixed = false;
    bool block_fixed = false;
    std::vector<int> plots;        // by line
    std::vector<int> environments; // by line
    std::string words;
    std::vector<std::string> notes;
};

// Errors: see trial.hpp.
Result<TrialDesign> make_trial_design(const TrialData& data, const TrialOptions& options);

// The model with random or with fixed lines; the line comes first among its kind.
MixedModel trial_model(const TrialData& data, const TrialDesign& design, bool lines_random);

} // namespace thresh::stats

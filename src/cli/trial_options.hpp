// What lines, todo and trials ask of the trial models and of decisions.
#pragma once

#include "cli/settings.hpp"

#include <optional>
#include <thresh/summary/decisions.hpp>
#include <thresh/summary/trials.hpp>

namespace thresh::cli {

// Trial options without --trial-model, or --trial-model with --by.
std::optional<Error> trial_conflict(const Settings& settings);

// `compare`: with checks, which takes longest. Errors: an effect, check or constituent that there is none of.
Result<summary::TrialModels> fit_trials(const Settings& settings, const summary::SampleMeans& means,
                                        bool compare);

// What tables with decisions look into; keeps everything together that must outlive them.
struct DecisionParts {
    std::shared_ptr<const summary::SampleMeans> means;
    std::optional<summary::TrialModels> models;  // --trial-model
    std::optional<summary::Decisions> decisions; // --cut-off or --best
    std::string notes;                           // of the models, for standard error
};
Result<void> make_parts(const Settings& settings, const summary::Season& season, DecisionParts& parts);

} // namespace thresh::cli

// What lines --trial-model, trials and others ask of the trial models.
#pragma once

#include "cli/settings.hpp"

#include <thresh/summary/trials.hpp>

namespace thresh::cli {

// Errors: an effect, check or constituent that there is none of.
Result<summary::TrialModels> fit_trials(const Settings& settings, const summary::SampleMeans& means);

} // namespace thresh::cli

// One row per trial and constituent.
#include "cli/table_command.hpp"
#include "cli/trial_options.hpp"

#include <fmt/format.h>
#include <thresh/core/nearest.hpp>

namespace thresh::cli {

Result<summary::TrialModels> fit_trials(const Settings& settings, const summary::SampleMeans& means) {
    const rules::Ruleset& rules = means.season().rules;
    const auto effects = summary::trial_effects(rules, settings.effects);
    if (!effects)
        return tl::unexpected(effects.error());
    summary::TrialModelOptions options;
    options.model = *effects;
    options.model.best = static_cast<int>(settings.best);
    options.model.seed = settings.seed;
    options.model.draws = 5000; // the standard error of a chance is then at most 0.007
    options.checks = settings.checks;
    options.plain = settings.plain;
    for (const std::string& name : settings.lower_is_better) {
        const auto id = rules.constituents.find(name);
        if (!id) {
            std::vector<std::string> names;
            for (const ConstituentId known : means.constituents())
                names.push_back(rules.constituents[known].name);
            return fail(fmt::format("--lower-is-better: there is no constituent `{}`", name),
                        nearest_hint(name, names, "constituents here"));
        }
        options.low.insert(*id);
    }
    return summary::TrialModels::fit(means, options);
}

int command_trials(const Settings& settings) {
    std::string notes;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            const auto means = summary::sample_means(season);
            const auto models = fit_trials(settings, *means);
            if (!models)
                return tl::unexpected(models.error());
            notes = models->words(season);
            return summary::trials_table(season, *means, *models);
        },
        &notes);
}

} // namespace thresh::cli

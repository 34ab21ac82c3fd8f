// One row per material, trial and line.
#include "cli/table_command.hpp"
#include "cli/trial_options.hpp"

namespace thresh::cli {

namespace {

std::vector<std::string> split(const std::string& names) {
    std::vector<std::string> parts;
    for (std::size_t at = 0; at <= names.size();) {
        const std::size_t comma = std::min(names.find(',', at), names.size());
        if (comma > at)
            parts.push_back(names.substr(at, comma - at));
        at = comma + 1;
    }
    return parts;
}

std::optional<Error> conflict(const Settings& settings) {
    const bool trial_options = !settings.effects.empty() || !settings.checks.empty() || settings.plain ||
                               settings.best > 0 || !settings.lower_is_better.empty();
    if (settings.trial_model && settings.by)
        return Error{"--trial-model is about lines in trials, --by groups them otherwise",
                     "use one of them",
                     {},
                     0,
                     0};
    if (!settings.trial_model && trial_options)
        return Error{"--effect, --check, --plain, --best and --lower-is-better are about the trial model",
                     "add --trial-model",
                     {},
                     0,
                     0};
    return std::nullopt;
}

} // namespace

int command_lines(const Settings& settings) {
    if (const auto error = conflict(settings))
        return failed(settings, *error);
    std::shared_ptr<const summary::SampleMeans> means; // the table looks into them
    std::optional<summary::TrialModels> models;        // and these
    std::string notes;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            summary::LinesOptions options;
            options.long_form = settings.long_form;
            if (settings.by)
                options.by = split(*settings.by);
            means = summary::sample_means(season);
            if (settings.trial_model) {
                auto fitted = fit_trials(settings, *means);
                if (!fitted)
                    return tl::unexpected(fitted.error());
                models.emplace(std::move(*fitted));
                notes = models->words(season);
                options.trials = &*models;
            }
            return summary::lines_table(season, *means, options);
        },
        &notes);
}

} // namespace thresh::cli

// One row per trial and constituent.
#include "cli/table_command.hpp"
#include "cli/trial_options.hpp"

namespace thresh::cli {

int command_trials(const Settings& settings) {
    std::string notes;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            const auto means = summary::sample_means(season);
            const auto models = fit_trials(settings, *means, false);
            if (!models)
                return tl::unexpected(models.error());
            notes = models->words(season);
            return summary::trials_table(season, *means, *models);
        },
        &notes);
}

} // namespace thresh::cli

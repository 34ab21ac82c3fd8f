// One row per material, trial and line.
#include "cli/table_command.hpp"
#include "cli/trial_options.hpp"

namespace thresh::cli {

int command_lines(const Settings& settings) {
    if (const auto error = trial_conflict(settings))
        return failed(settings, *error);
    Result<std::vector<std::string>> by;
    if (settings.by)
        by = summary::parse_by(*settings.by);
    if (!by) // before the exports are read
        return failed(settings, by.error());
    DecisionParts parts;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            summary::LinesOptions options;
            options.long_form = settings.long_form;
            options.by = *by;
            if (auto made = make_parts(settings, season, parts); !made)
                return tl::unexpected(made.error());
            options.trials = parts.models ? &*parts.models : nullptr;
            options.decisions = parts.decisions ? &*parts.decisions : nullptr;
            return summary::lines_table(season, *parts.means, options);
        },
        &parts.notes);
}

} // namespace thresh::cli

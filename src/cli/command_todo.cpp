// What the laboratory must do next.
#include "cli/table_command.hpp"
#include "cli/trial_options.hpp"

namespace thresh::cli {

int command_todo(const Settings& settings) {
    if (const auto error = trial_conflict(settings))
        return failed(settings, *error);
    if (settings.trial_model && settings.best == 0 && settings.cut_offs.empty())
        return failed(
            settings,
            {"--trial-model alone decides nothing", "add --best N or --cut-off CONDITION", {}, 0, 0});
    DecisionParts parts;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            if (settings.cut_offs.empty() && settings.best == 0)
                return summary::todo_table(season);
            if (auto made = make_parts(settings, season, parts); !made)
                return tl::unexpected(made.error());
            return summary::todo_table(season, parts.decisions ? &*parts.decisions : nullptr);
        },
        &parts.notes);
}

} // namespace thresh::cli

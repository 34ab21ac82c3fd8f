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

} // namespace

int command_lines(const Settings& settings) {
    if (const auto error = trial_conflict(settings))
        return failed(settings, *error);
    DecisionParts parts;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            summary::LinesOptions options;
            options.long_form = settings.long_form;
            if (settings.by)
                options.by = split(*settings.by);
            if (auto made = make_parts(settings, season, parts); !made)
                return tl::unexpected(made.error());
            options.trials = parts.models ? &*parts.models : nullptr;
            options.decisions = parts.decisions ? &*parts.decisions : nullptr;
            return summary::lines_table(season, *parts.means, options);
        },
        &parts.notes);
}

} // namespace thresh::cli

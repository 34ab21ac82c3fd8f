// One row per material, trial and line.
#include "cli/table_command.hpp"

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
    std::shared_ptr<const summary::SampleMeans> means; // the table looks into them
    return table_command(settings,
                         [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             summary::LinesOptions options;
                             options.long_form = settings.long_form;
                             if (settings.by)
                                 options.by = split(*settings.by);
                             means = summary::sample_means(season);
                             return summary::lines_table(season, *means, options);
                         });
}

} // namespace thresh::cli

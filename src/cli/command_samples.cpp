// One row per material and sample.
#include "cli/table_command.hpp"

namespace thresh::cli {

int command_samples(const Settings& settings) {
    std::shared_ptr<const summary::SampleMeans> means; // the table looks into them
    return table_command(settings,
                         [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             means = summary::sample_means(season);
                             return summary::samples_table(season, *means);
                         });
}

} // namespace thresh::cli

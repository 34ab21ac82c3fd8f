// One row per reading, with its source, verdict and converted values.
#include "cli/table_command.hpp"

namespace thresh::cli {

int command_readings(const Settings& settings) {
    return table_command(settings,
                         [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             return summary::readings_table(season, {settings.as_read, settings.long_form});
                         });
}

} // namespace thresh::cli

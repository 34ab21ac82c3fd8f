// Standards, controls, sessions and instruments over time. Charts are for people; files hold the numbers.
#include "cli/table_command.hpp"
#include "cli/terminal.hpp"

#include <unistd.h>

namespace thresh::cli {

int command_drift(const Settings& settings) {
    const bool for_people =
        settings.format ? *settings.format == "table" : !settings.output && is_terminal(STDOUT_FILENO);
    return table_command(settings,
                         [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             return summary::drift_table(season, for_people);
                         });
}

} // namespace thresh::cli

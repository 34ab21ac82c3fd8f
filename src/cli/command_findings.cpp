// One row per finding.
#include "cli/table_command.hpp"

namespace thresh::cli {

int command_findings(const Settings& settings) {
    return table_command(settings,
                         [](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             return summary::findings_table(season);
                         });
}

} // namespace thresh::cli

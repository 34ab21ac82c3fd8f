// What the laboratory must do next.
#include "cli/table_command.hpp"

namespace thresh::cli {

int command_todo(const Settings& settings) {
    return table_command(settings,
                         [](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             return summary::todo_table(season);
                         });
}

} // namespace thresh::cli

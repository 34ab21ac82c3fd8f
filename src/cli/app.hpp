// The whole of the program as a function.
#pragma once

#include <string>

namespace thresh::cli {

// Exit status: 130 or 143 interrupted; 2 the job could not be done in full; 1 findings at or above
// --fail-on; 0 otherwise.
int run(int argc, char** argv);

// The documentation of all commands and options, made from the options themselves (docs/commands.md).
std::string commands_as_markdown();

} // namespace thresh::cli

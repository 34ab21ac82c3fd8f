// The whole of the program as a function.
#pragma once

namespace thresh::cli {

// Exit status: 130 or 143 interrupted; 2 the job could not be done in full; 1 findings at or above
// --fail-on; 0 otherwise.
int run(int argc, char** argv);

} // namespace thresh::cli

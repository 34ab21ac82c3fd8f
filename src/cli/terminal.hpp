// What kind of place standard output and standard error are.
#pragma once

#include <string>

namespace thresh::cli {

bool is_terminal(int descriptor);
// Columns of the terminal; 0 when it is none.
unsigned terminal_width(int descriptor);
// `setting`: auto, always, never (--color). auto: NO_COLOR, CLICOLOR_FORCE, TERM=dumb, then whether it is a
// terminal.
bool wants_color(const std::string& setting, int descriptor);

} // namespace thresh::cli

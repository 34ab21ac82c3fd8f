// Text of others made harmless for terminals.
#pragma once

#include <string>
#include <string_view>

namespace thresh::report {

// Text that a terminal cannot act on: control characters (and bytes that are no UTF-8) as U+FFFD, line ends
// and tabs as blanks, direction marks left out.
std::string inert_text(std::string_view text);

// The same line by line: line feeds stay.
std::string inert_lines(std::string_view text);

} // namespace thresh::report

// What people are told on standard error.
#pragma once

#include "cli/pipeline.hpp"

#include <string>
#include <vector>

namespace thresh::cli {

// `thresh: ...` with place and help; ends with a line break.
std::string error_message(const Error& error, bool color);

// `week32.csv:14:10: review[above-expected]: ...`, the line with a caret, and a help line.
std::string finding_message(const Prepared& prepared, const Finding& finding, bool color);

// Column letters of a sheet: 0 is A, 26 is AA.
std::string sheet_column(std::uint32_t position);

// Every finding that `wanted` takes, in order; of each code the first five, then how many more.
std::string finding_messages(const Prepared& prepared, bool (*wanted)(const Finding&), bool color);

} // namespace thresh::cli

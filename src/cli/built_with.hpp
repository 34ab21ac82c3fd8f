// What run.json says about how results came about, besides inputs and rules.
#pragma once

#include "cli/settings.hpp"

#include <string>
#include <utility>
#include <vector>

namespace thresh::cli {

// Name and version of every library that the program was built with; no version where a library states none.
std::vector<std::pair<std::string, std::string>> libraries();

// The options that change results, spelled as on a command line, in an order of their own (--severity last,
// as given). Left out: inputs and lists (which run.json names with their hash), and what changes no result
// (threads, colours, messages, where results go).
std::vector<std::string> options_in_force(const Settings& settings);

} // namespace thresh::cli

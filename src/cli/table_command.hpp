// What all commands that print one table have in common.
#pragma once

#include "cli/commands.hpp"
#include "cli/pipeline.hpp"

#include <functional>
#include <memory>
#include <thresh/summary/tables.hpp>

namespace thresh::cli {

// Prepares the season, makes the table, selects and sorts its rows, writes it, tells on standard error what
// happened, and gives the exit status. `notes`: lines that `make` wants told there, before the summary.
using MakeTable = std::function<Result<std::unique_ptr<summary::Table>>(const summary::Season&)>;
int table_command(const Settings& settings, const MakeTable& make, const std::string* notes = nullptr);

// The decimals that --digits asks for (`told`); nullopt: all.
Result<std::optional<int>> digits_of(const std::optional<std::string>& told, std::optional<int> unless_told);

// Prints an error; the exit status of a job that could not be done.
int failed(const Settings& settings, const Error& error);

// Exit status of a judged season: refused exports, then --fail-on.
int season_status(const Settings& settings, const Prepared& prepared);

// What a person wants to know after a session: the whole summary on a terminal, else one line.
std::string what_happened(const Settings& settings, const Prepared& prepared);

// On standard error: refused files and open doubts, with -v every decision and finding, and one summary line.
void tell(const Settings& settings, const Prepared& prepared, const std::string& summary);

} // namespace thresh::cli

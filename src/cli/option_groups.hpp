// The options, by group, each described in one place.
#pragma once

#include "cli/settings.hpp"

#include <CLI/CLI.hpp>

namespace thresh::cli {

void add_exports(CLI::App& command, Settings& settings);
void add_rules_options(CLI::App& command, Settings& settings);
void add_import_options(CLI::App& command, Settings& settings);
void add_output_options(CLI::App& command, Settings& settings);
// Colour, silence, threads: of every command that reads exports.
void add_common_options(CLI::App& command, Settings& settings);

// An option that may be given again takes one value each time: what stands behind it may be an export.
CLI::Option* may_be_given_again(CLI::Option* option);

// A whole number from 0; unlike CLI11's own, `010` is ten and nothing else is taken.
CLI::Option* add_count(CLI::App& command, const std::string& name, std::optional<std::uint32_t>& into,
                       const std::string& description);
CLI::Option* add_count(CLI::App& command, const std::string& name, std::uint32_t& into,
                       const std::string& description);

} // namespace thresh::cli

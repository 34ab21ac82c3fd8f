// The program's commands. Each says its name and what it does at once and adds its options when it is wanted:
// a session's file takes some milliseconds in all, and the options of every command would be a tenth of them.
#pragma once

#include "cli/commands.hpp"

#include <CLI/CLI.hpp>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <vector>

namespace thresh::cli {

struct Program {
    CLI::App app{"From exports of NIR seed composition to flagged summaries per breeding line.", "thresh"};
    Settings settings;
    BasisSettings basis;
    std::vector<std::string> rules_files, codes;
    std::vector<std::string> help_topic; // a command, a command below it
    std::map<const CLI::App*, std::function<int()>> actions;
};

struct Command {
    const char* name;
    const char* what;
    void (*add_options)(Program&, CLI::App&); // and what the command does, into `actions`
};

// In the order of the help.
std::span<const Command> commands();

// The command of this name directly below `app`; null when there is none.
const CLI::App* find_command(const CLI::App& app, const std::string& name);

} // namespace thresh::cli

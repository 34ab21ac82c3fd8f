// Parsing and dispatch. Documentation, completions and tests are made by walking the same CLI::App, so they
// cannot say anything else.
#include "cli/app.hpp"

#include "cli/messages.hpp"
#include "cli/program.hpp"

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>
#include <iostream>
#include <memory>
#include <new>
#include <span>
#include <string_view>
#include <thresh/core/nearest.hpp>
#include <unistd.h>

namespace thresh::cli {

namespace {

// All commands; with their options those of `only` alone when it names one that needs no other's.
std::unique_ptr<Program> make_program(std::string_view only) {
    auto program = std::make_unique<Program>();
    Program& p = *program;
    p.app.set_version_flag("--version", "thresh " THRESH_VERSION "\nMIT License");
    p.app.set_help_all_flag("--help-all", "the help of every command");
    p.app.require_subcommand(0, 1);
    p.app.footer(
        "Examples:\n  thresh lines demo-data/exports --samples demo-data/samples.csv\n"
        "  thresh run exports --samples samples.csv --into results\n\n"
        "For breeding and selection: not an official analysis, not for trade settlement or labelling.");
    const auto is_wanted = [&](const Command& command) { return command.name == only; };
    const bool one = only != "help" && std::ranges::any_of(commands(), is_wanted);
    for (const Command& command : commands()) {
        CLI::App* added = p.app.add_subcommand(command.name, command.what);
        if (!one || is_wanted(command))
            command.add_options(p, *added);
    }
    return program;
}

// A mistyped command or option, with the nearest one.
std::string advice(const CLI::App& app, const std::vector<std::string>& arguments) {
    std::vector<std::string> names;
    const CLI::App* in = &app;
    for (const std::string& argument : arguments) {
        if (argument.starts_with("-"))
            continue;
        if (const CLI::App* below = find_command(*in, argument))
            in = below;
        break;
    }
    if (in == &app && !arguments.empty() && !arguments.front().starts_with("-")) {
        for (const CLI::App* command : app.get_subcommands({}))
            names.push_back(command->get_name());
        return nearest_hint(arguments.front(), names, "commands");
    }
    for (const CLI::Option* option : in->get_options())
        for (const std::string& name : option->get_lnames())
            names.push_back("--" + name);
    for (const std::string& argument : arguments) {
        const std::string word = argument.substr(0, argument.find('='));
        if (word.starts_with("--") && std::find(names.begin(), names.end(), word) == names.end())
            return nearest_hint(word, names, "options");
    }
    return fmt::format("see `thresh {}--help`", in == &app ? "" : in->get_name() + " ");
}

// An interrupted run leaves old results as they are; what it had begun beside them is swept by the next one.
void end_at_once(int signal) {
    ::_exit(128 + signal);
}

} // namespace

int run(int argc, char** argv) {
    std::signal(SIGPIPE, SIG_IGN);
    std::signal(SIGXFSZ, SIG_IGN); // a limit of file sizes is told as a full disk is
    std::signal(SIGINT, end_at_once);
    std::signal(SIGTERM, end_at_once);
    const auto program = make_program(argc > 1 ? argv[1] : "");
    // Else the next word would be taken for the value: an export for the place of results.
    for (const std::string_view argument : std::span(argv, static_cast<std::size_t>(argc)))
        if (argument.starts_with("--") && argument.ends_with("=") &&
            argument.find('=') == argument.size() - 1) {
            fmt::print(stderr, "{}",
                       error_message({fmt::format("{} has no value", argument),
                                      "write it behind the sign, or leave the option out",
                                      {},
                                      0,
                                      0},
                                     false));
            return kFailed;
        }
    try {
        program->app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() == 0) {
            program->app.exit(error);
            errno = 0;
            if (std::cout.flush() || errno == EPIPE)
                return kDone;
            fmt::print(stderr, "{}",
                       error_message({"standard output cannot be written", {}, {}, 0, 0}, false));
            return kFailed;
        }
        const std::vector<std::string> arguments(argv + std::min(1, argc), argv + argc);
        fmt::print(stderr, "{}",
                   error_message({error.what(), advice(program->app, arguments), {}, 0, 0}, false));
        return kFailed;
    }
    const CLI::App* chosen = &program->app;
    while (!chosen->get_subcommands().empty())
        chosen = chosen->get_subcommands().front();
    const auto action = program->actions.find(chosen);
    if (action == program->actions.end()) {
        fmt::print(stderr, "{}", program->app.help());
        return kFailed;
    }
    try {
        return action->second();
    } catch (const std::bad_alloc&) {
        fmt::print(
            stderr, "{}",
            error_message({"there is not enough memory", "read fewer exports at a time", {}, 0, 0}, false));
        return kFailed;
    }
}

} // namespace thresh::cli

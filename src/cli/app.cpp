// Commands, their options and their dispatch. Documentation, completions and tests are made by walking the
// same CLI::App, so they cannot say anything else.
#include "cli/app.hpp"

#include "cli/commands.hpp"
#include "cli/messages.hpp"
#include "cli/option_groups.hpp"

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>
#include <functional>
#include <map>
#include <memory>
#include <thresh/core/nearest.hpp>
#include <unistd.h>

namespace thresh::cli {

namespace {

struct Program {
    CLI::App app{"From exports of NIR seed composition to flagged summaries per breeding line.", "thresh"};
    Settings settings;
    BasisSettings basis;
    std::vector<std::string> rules_files, codes;
    std::string help_topic;
    std::map<const CLI::App*, std::function<int()>> actions;
};

// The command of this name directly below `app`; null when there is none.
const CLI::App* find_command(const CLI::App& app, const std::string& name) {
    for (const CLI::App* command : app.get_subcommands({}))
        if (command->get_name() == name)
            return command;
    return nullptr;
}

CLI::App* add_season_command(Program& p, const std::string& name, const std::string& what,
                             int (*action)(const Settings&)) {
    CLI::App* command = p.app.add_subcommand(name, what);
    add_exports(*command, p.settings);
    p.actions[command] = [&p, action] { return action(p.settings); };
    return command;
}

void add_shared(Program& p, CLI::App& command, bool table) {
    add_rules_options(command, p.settings);
    add_import_options(command, p.settings);
    if (table)
        add_output_options(command, p.settings);
    add_common_options(command, p.settings);
}

void add_trial_options(Program& p, CLI::App& command) {
    const auto group = "Trial model";
    command
        .add_option(
            "--effect", p.settings.effects,
            "how environment, rep, block or line_by_environment enters: fixed, random or none; may be "
            "given again")
        ->type_name("NAME=WAY")
        ->group(group)
        ->expected(1)
        ->take_all();
    command
        .add_option("--check", p.settings.checks, "compare with this line (every check); may be given again")
        ->type_name("LINE")
        ->group(group)
        ->expected(1)
        ->take_all();
    command
        .add_flag("--plain", p.settings.plain,
                  "p and limits for each comparison alone, not simultaneous (Dunnett)")
        ->group(group);
    add_count(command, "--best", p.settings.best, "adds the chance that a line is among the best N")
        ->group(group);
    command
        .add_option("--lower-is-better", p.settings.lower_is_better,
                    "constituent of which less is better; may be given again")
        ->type_name("NAME")
        ->group(group)
        ->expected(1)
        ->take_all();
    add_count(command, "--seed", p.settings.seed, "of the draws behind --best (1)")->group(group);
}

void add_cut_off(Program& p, CLI::App& command) {
    command
        .add_option(
            "--cut-off", p.settings.cut_offs,
            "such as 'protein >= 36': whether what is under review decides about a line; may be given again")
        ->type_name("CONDITION")
        ->expected(1)
        ->take_all();
}

void add_table_commands(Program& p) {
    CLI::App* lines = add_season_command(
        p, "lines", "one row per material, trial and line: counts, means, SD, SE", command_lines);
    lines
        ->add_option("--by", p.settings.by, "group by these columns instead of trial and line, comma between")
        ->type_name("COLUMNS");
    lines->add_flag("--long", p.settings.long_form, "one row per constituent");
    lines->add_flag("--trial-model", p.settings.trial_model,
                    "adds adjusted means, predictions, ranks and comparisons with checks");
    add_cut_off(p, *lines);
    add_trial_options(p, *lines);
    add_shared(p, *lines, true);

    add_shared(p,
               *add_season_command(p, "samples", "one row per material and sample: what entered it, means",
                                   command_samples),
               true);

    CLI::App* readings = add_season_command(
        p, "readings", "one row per reading: source, verdict, findings, converted values", command_readings);
    readings->add_flag("--as-read", p.settings.as_read, "adds the values as exported");
    readings->add_flag("--long", p.settings.long_form, "one row per value, with its mark");
    add_shared(p, *readings, true);

    add_shared(p, *add_season_command(p, "findings", "one row per finding", command_findings), true);
    CLI::App* todo =
        add_season_command(p, "todo", "what the laboratory must do next, grouped by action", command_todo);
    add_cut_off(p, *todo);
    todo->add_flag("--trial-model", p.settings.trial_model,
                   "decide on adjusted means, with --best on ranks, not on plain means");
    add_trial_options(p, *todo);
    add_shared(p, *todo, true);
    add_shared(p,
               *add_season_command(p, "drift",
                                   "standards, controls, sessions, instruments over time: limits and signals",
                                   command_drift),
               true);

    CLI::App* trials = add_season_command(
        p, "trials", "per trial and constituent: mean, CV, SED, LSD, variance components, heritability",
        command_trials);
    add_trial_options(p, *trials);
    add_shared(p, *trials, true);

    CLI::App* trace = add_season_command(
        p, "trace", "every reading, cell, factor and exclusion behind one number", command_trace);
    trace->add_option("--line", p.settings.line, "the line")->required()->type_name("LINE");
    trace->add_option("--constituent", p.settings.constituent, "the constituent")
        ->required()
        ->type_name("NAME");
    trace->add_option("--trial", p.settings.trial, "the trial, when the line stands in several")
        ->type_name("TRIAL");
    add_shared(p, *trace, true);
}

void add_agree(Program& p) {
    CLI::App* agree = add_season_command(
        p, "agree", "NIR against wet chemistry, or instruments against each other", command_agree);
    agree->add_option("--reference", p.settings.reference, "reference results: sample, constituents, basis")
        ->type_name("FILE");
    agree->add_option("--key", p.settings.key, "key of a shipment: what its neutral codes stand for")
        ->type_name("FILE");
    agree
        ->add_option("--sec", p.settings.sec,
                     "standard error of calibration, for the UECL; may be given again")
        ->type_name("CONSTITUENT=SEC,SAMPLES,TERMS")
        ->expected(1)
        ->take_all();
    agree->add_flag("--pairs", p.settings.pairs, "one row per pair");
    agree->add_flag("--adjust", p.settings.adjust, "write the corrections that are advised, as a rules file");
    agree
        ->add_option("--valid-from", p.settings.valid_from,
                     "with --adjust: when they take effect (the day of the first reading compared)")
        ->type_name("TIME");
    agree->add_option("--valid-to", p.settings.valid_to, "with --adjust: until when (open)")
        ->type_name("TIME");
    agree->add_flag("--between-instruments", p.settings.between_instruments,
                    "samples read on two instruments, instead of reference results");
    add_shared(p, *agree, true);
}

void add_pick(Program& p) {
    CLI::App* pick =
        add_season_command(p, "pick", "which samples to send to wet chemistry, and why", command_pick);
    add_count(*pick, "--count", p.settings.count, "how many samples")->required();
    pick->add_option("--random", p.settings.random_percent, "share drawn at random (20)")
        ->type_name("PERCENT");
    add_count(*pick, "--seed", p.settings.seed, "of the random share and of the shipment's order (1)");
    pick->add_option("--on", p.settings.on,
                     "constituent to span (the material's key constituents); may be given again")
        ->type_name("NAME")
        ->expected(1)
        ->take_all();
    pick->add_option("--reference", p.settings.reference,
                     "reference results: samples that are analysed already")
        ->type_name("FILE");
    pick->add_flag(
        "--shipment", p.settings.shipment,
        "the list for the laboratory: random order, neutral codes, blind duplicates, a check in every batch");
    pick->add_option("--key", p.settings.key, "with --shipment: write here what the codes stand for")
        ->type_name("FILE");
    add_count(*pick, "--batch", p.settings.batch, "with --shipment: samples in a batch (20)");
    add_count(*pick, "--duplicates", p.settings.duplicates,
              "with --shipment: blind duplicates in each batch (1)");
    pick->add_option("--batch-check", p.settings.batch_check,
                     "with --shipment: sample that goes into every batch (a control of the material)")
        ->type_name("SAMPLE");
    pick->add_option("--code-prefix", p.settings.code_prefix, "with --shipment: what codes begin with (W)")
        ->type_name("TEXT");
    add_shared(p, *pick, true);
}

void add_run(Program& p) {
    CLI::App* run =
        add_season_command(p, "run", "the nightly job: all tables as one results folder", command_run);
    run->add_option("--into", p.settings.into, "results folder; replaced whole, in one step")
        ->required()
        ->type_name("DIR");
    run->add_option("--only", p.settings.only,
                    "only these results, comma between: lines,samples,readings,findings,todo,drift,trials,"
                    "rejected,report,workbook")
        ->type_name("NAMES");
    run->add_flag("--trial-model", p.settings.trial_model,
                  "adds adjusted means, predictions, ranks and comparisons with checks to lines");
    run->add_option("--reference", p.settings.reference,
                    "reference results: report.html then shows how NIR agrees with them")
        ->type_name("FILE");
    run->add_option("--key", p.settings.key, "key of a shipment: what neutral codes of --reference stand for")
        ->type_name("FILE");
    add_count(*run, "--settle", p.settings.settle,
              "leave files changed within so many seconds for next time");
    add_count(*run, "--keep", p.settings.keep, "keep so many older results as DIR.1, DIR.2, ...");
    run->add_option("--digits", p.settings.digits,
                    "decimals in files, or full for the shortest that reads back (4)")
        ->type_name("N|full");
    add_shared(p, *run, false);
}

void add_basis(Program& p) {
    CLI::App* basis =
        p.app.add_subcommand("basis", "single values on another moisture basis, with uncertainty");
    basis->add_option("VALUE", p.basis.values, "values to convert")->required()->type_name("");
    basis->add_option("--from", p.basis.from, "basis of the values: as-is, dry or percent moisture (as-is)")
        ->type_name("BASIS");
    basis->add_option("--moisture", p.basis.moisture, "moisture of the reading, percent")
        ->type_name("PERCENT");
    basis->add_option("--to", p.basis.to, "wanted basis (dry)")->type_name("BASIS");
    basis->add_option("--u", p.basis.u, "standard uncertainty of the values")->type_name("U");
    basis->add_option("--u-moisture", p.basis.u_moisture, "standard uncertainty of the moisture")
        ->type_name("U");
    basis->add_option("--r", p.basis.r, "correlation of the two errors (0)")->type_name("R");
    basis->add_option("--digits", p.basis.digits, "decimals, or full (6)")->type_name("N|full");
    p.actions[basis] = [&p] { return command_basis(p.basis); };
}

void add_inspect(Program& p) {
    CLI::App* inspect = add_season_command(
        p, "inspect", "how files were understood, and the options that pin it; changes nothing",
        command_inspect);
    inspect->add_option("--format", p.settings.format, "text or json (text)")->type_name("FORMAT");
    inspect->add_option("-o,--output", p.settings.output, "write to this file, in one step")
        ->type_name("FILE");
    inspect->add_option("--rules", p.settings.rules, "rules file (else thresh.json here, else the user's)")
        ->type_name("FILE");
    add_import_options(*inspect, p.settings);
}

void add_rules(Program& p) {
    CLI::App* rules =
        p.app.add_subcommand("rules", "the rules in force; check a rules file; write a commented one");
    rules->require_subcommand(1);
    CLI::App* show = rules->add_subcommand("show", "the rules in force, with where each came from");
    show->add_option("--rules", p.settings.rules, "rules file (else thresh.json here, else the user's)")
        ->type_name("FILE");
    show->add_option("-o,--output", p.settings.output, "write to this file, in one step")->type_name("FILE");
    p.actions[show] = [&p] { return command_rules_show(p.settings); };
    CLI::App* check = rules->add_subcommand("check", "say what a rules file sets, or what is wrong with it");
    check->add_option("FILE", p.rules_files, "rules files")->required()->type_name("");
    p.actions[check] = [&p] { return command_rules_check(p.settings, p.rules_files); };
    CLI::App* start = rules->add_subcommand("start", "write a commented rules file to begin with");
    start->add_option("-o,--output", p.settings.output, "write to this file, in one step")->type_name("FILE");
    p.actions[start] = [&p] { return command_rules_start(p.settings); };
}

void add_explain(Program& p) {
    CLI::App* explain = p.app.add_subcommand("explain", "what a finding means, why it matters, what to do");
    explain->add_option("CODE", p.codes, "codes of findings; none: a list of all")->type_name("");
    p.actions[explain] = [&p] { return command_explain(p.codes, {}); };
}

std::unique_ptr<Program> make_program() {
    auto program = std::make_unique<Program>();
    Program& p = *program;
    p.app.set_version_flag("--version", "thresh " THRESH_VERSION "\nMIT License");
    p.app.set_help_all_flag("--help-all", "the help of every command");
    p.app.require_subcommand(0, 1);
    p.app.footer(
        "Examples:\n  thresh lines demo-data/exports --samples demo-data/samples.csv\n"
        "  thresh run exports --samples samples.csv --into results\n\n"
        "For breeding and selection: not an official analysis, not for trade settlement or labelling.");
    add_run(p);
    add_table_commands(p);
    add_agree(p);
    add_pick(p);
    add_basis(p);
    add_inspect(p);
    add_rules(p);
    add_explain(p);
    CLI::App* help = p.app.add_subcommand("help", "the help of a command");
    help->add_option("COMMAND", p.help_topic, "a command")->type_name("");
    p.actions[help] = [&p] {
        const CLI::App* topic = &p.app;
        if (!p.help_topic.empty()) {
            topic = find_command(p.app, p.help_topic);
            if (topic == nullptr) {
                fmt::print(stderr, "thresh: error: there is no command `{}`\n", p.help_topic);
                return kFailed;
            }
        }
        fmt::print("{}", topic == &p.app ? topic->help() : topic->help(p.app.get_name()));
        return kDone;
    };
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
    std::signal(SIGINT, end_at_once);
    std::signal(SIGTERM, end_at_once);
    const auto program = make_program();
    try {
        program->app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        if (error.get_exit_code() == 0) {
            program->app.exit(error);
            return kDone;
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
    return action->second();
}

} // namespace thresh::cli

// The commands and their options, in the order of the help.
#include "cli/program.hpp"

#include "cli/messages.hpp"
#include "cli/option_groups.hpp"

#include <fmt/format.h>

namespace thresh::cli {

namespace {

// What every command does that reads exports.
void season(Program& p, CLI::App& command, int (*action)(const Settings&)) {
    add_exports(command, p.settings);
    p.actions[&command] = [&p, action] { return action(p.settings); };
}

void add_shared(Program& p, CLI::App& command, bool table) {
    add_rules_options(command, p.settings);
    add_import_options(command, p.settings);
    if (table)
        add_output_options(command, p.settings);
    add_common_options(command, p.settings);
}

constexpr const char* kTrialGroup = "Trial model";

void add_effects(Program& p, CLI::App& command) {
    may_be_given_again(
        command
            .add_option(
                "--effect", p.settings.effects,
                "how environment, rep, block or line_by_environment enters: fixed, random or none; may be "
                "given again")
            ->type_name("NAME=WAY")
            ->group(kTrialGroup));
}

void add_best(Program& p, CLI::App& command) {
    add_count(command, "--best", p.settings.best, "adds the chance that a line is among the best N")
        ->group(kTrialGroup);
    may_be_given_again(command
                           .add_option("--lower-is-better", p.settings.lower_is_better,
                                       "constituent of which less is better; may be given again")
                           ->type_name("NAME")
                           ->group(kTrialGroup));
    add_count(command, "--seed", p.settings.seed, "of the draws behind --best (1)")->group(kTrialGroup);
}

void add_comparisons(Program& p, CLI::App& command) {
    may_be_given_again(command
                           .add_option("--check", p.settings.checks,
                                       "compare with this line (every check); may be given again")
                           ->type_name("LINE")
                           ->group(kTrialGroup));
    command
        .add_flag("--plain", p.settings.plain,
                  "p and limits for each comparison alone, not simultaneous (Dunnett)")
        ->group(kTrialGroup);
}

void add_cut_off(Program& p, CLI::App& command) {
    may_be_given_again(command
                           .add_option("--cut-off", p.settings.cut_offs,
                                       "such as 'protein >= 36': whether what is under review decides about "
                                       "a line; may be given again")
                           ->type_name("CONDITION"));
}

// A table without options of its own.
template <int (*kAction)(const Settings&)>
void table_options(Program& p, CLI::App& command) {
    season(p, command, kAction);
    add_shared(p, command, true);
}

void lines_options(Program& p, CLI::App& lines) {
    season(p, lines, command_lines);
    lines
        .add_option("--by", p.settings.by, "group by these columns instead of trial and line, comma between")
        ->type_name("COLUMNS");
    lines.add_flag("--long", p.settings.long_form, "one row per constituent");
    lines.add_flag("--trial-model", p.settings.trial_model,
                   "adds adjusted means, predictions, ranks and comparisons with checks");
    add_cut_off(p, lines);
    add_effects(p, lines);
    add_comparisons(p, lines);
    add_best(p, lines);
    add_shared(p, lines, true);
}

void readings_options(Program& p, CLI::App& readings) {
    season(p, readings, command_readings);
    readings.add_flag("--as-read", p.settings.as_read, "adds the values as exported");
    readings.add_flag("--long", p.settings.long_form, "one row per value, with its mark");
    add_shared(p, readings, true);
}

void todo_options(Program& p, CLI::App& todo) {
    season(p, todo, command_todo);
    add_cut_off(p, todo);
    todo.add_flag("--trial-model", p.settings.trial_model,
                  "decide on adjusted means, with --best on ranks, not on plain means");
    add_effects(p, todo);
    add_best(p, todo);
    add_shared(p, todo, true);
}

void trials_options(Program& p, CLI::App& trials) {
    season(p, trials, command_trials);
    add_effects(p, trials);
    add_shared(p, trials, true);
}

void trace_options(Program& p, CLI::App& trace) {
    season(p, trace, command_trace);
    trace.add_option("--line", p.settings.line, "the line")->required()->type_name("LINE");
    trace.add_option("--constituent", p.settings.constituent, "the constituent")
        ->required()
        ->type_name("NAME");
    trace.add_option("--trial", p.settings.trial, "the trial, when the line stands in several")
        ->type_name("TRIAL");
    add_shared(p, trace, true);
}

void agree_options(Program& p, CLI::App& agree) {
    season(p, agree, command_agree);
    agree.add_option("--reference", p.settings.reference, "reference results: sample, constituents, basis")
        ->type_name("FILE");
    agree.add_option("--key", p.settings.key, "key of a shipment: what its neutral codes stand for")
        ->type_name("FILE");
    may_be_given_again(agree
                           .add_option("--sec", p.settings.sec,
                                       "standard error of calibration, for the UECL; may be given again")
                           ->type_name("CONSTITUENT=SEC,SAMPLES,TERMS"));
    agree.add_flag("--pairs", p.settings.pairs, "one row per pair");
    agree.add_flag("--adjust", p.settings.adjust, "write the corrections that are advised, as a rules file");
    agree
        .add_option("--valid-from", p.settings.valid_from,
                    "with --adjust: when they take effect (the day of the first reading compared)")
        ->type_name("TIME");
    agree.add_option("--valid-to", p.settings.valid_to, "with --adjust: until when (open)")
        ->type_name("TIME");
    agree.add_flag("--between-instruments", p.settings.between_instruments,
                   "samples read on two instruments, instead of reference results");
    add_shared(p, agree, true);
}

void pick_options(Program& p, CLI::App& pick) {
    season(p, pick, command_pick);
    add_count(pick, "--count", p.settings.count, "how many samples")->required();
    pick.add_option("--random", p.settings.random_percent, "share drawn at random (20)")
        ->type_name("PERCENT");
    add_count(pick, "--seed", p.settings.seed, "of the random share and of the shipment's order (1)");
    may_be_given_again(
        pick.add_option("--on", p.settings.on,
                        "constituent to span (the material's key constituents); may be given again")
            ->type_name("NAME"));
    pick.add_option("--reference", p.settings.reference,
                    "reference results: samples that are analysed already")
        ->type_name("FILE");
    pick.add_flag(
        "--shipment", p.settings.shipment,
        "the list for the laboratory: random order, neutral codes, blind duplicates, a check in every batch");
    pick.add_option("--key", p.settings.key, "with --shipment: write here what the codes stand for")
        ->type_name("FILE");
    add_count(pick, "--batch", p.settings.batch, "with --shipment: samples in a batch (20)");
    add_count(pick, "--duplicates", p.settings.duplicates,
              "with --shipment: blind duplicates in each batch (1)");
    pick.add_option("--batch-check", p.settings.batch_check,
                    "with --shipment: sample that goes into every batch (a control of the material)")
        ->type_name("SAMPLE");
    pick.add_option("--code-prefix", p.settings.code_prefix, "with --shipment: what codes begin with (W)")
        ->type_name("TEXT");
    add_shared(p, pick, true);
}

void run_options(Program& p, CLI::App& run) {
    season(p, run, command_run);
    run.add_option("--into", p.settings.into, "results folder; replaced whole, in one step")
        ->required()
        ->type_name("DIR");
    run.add_option("--only", p.settings.only,
                   "only these results, comma between: lines,samples,readings,findings,todo,drift,trials,"
                   "rejected,report,workbook")
        ->type_name("NAMES");
    run.add_flag("--trial-model", p.settings.trial_model,
                 "adds adjusted means, predictions, ranks and comparisons with checks to lines");
    run.add_option("--reference", p.settings.reference,
                   "reference results: report.html then shows how NIR agrees with them")
        ->type_name("FILE");
    run.add_option("--key", p.settings.key, "key of a shipment: what neutral codes of --reference stand for")
        ->type_name("FILE");
    add_count(run, "--settle", p.settings.settle, "leave files changed within so many seconds for next time");
    add_count(run, "--keep", p.settings.keep, "keep so many older results as DIR.1, DIR.2, ...");
    run.add_option("--digits", p.settings.digits,
                   "decimals in files, or full for the shortest that reads back (4)")
        ->type_name("N|full");
    add_shared(p, run, false);
}

void basis_options(Program& p, CLI::App& basis) {
    basis.add_option("VALUE", p.basis.values, "values to convert")->required()->type_name("");
    basis.add_option("--from", p.basis.from, "basis of the values: as-is, dry or percent moisture (as-is)")
        ->type_name("BASIS");
    basis.add_option("--moisture", p.basis.moisture, "moisture of the reading, percent")
        ->type_name("PERCENT");
    basis.add_option("--to", p.basis.to, "wanted basis (dry)")->type_name("BASIS");
    basis.add_option("--u", p.basis.u, "standard uncertainty of the values")->type_name("U");
    basis.add_option("--u-moisture", p.basis.u_moisture, "standard uncertainty of the moisture")
        ->type_name("U");
    basis.add_option("--r", p.basis.r, "correlation of the two errors (0)")->type_name("R");
    basis.add_option("--digits", p.basis.digits, "decimals, or full (6)")->type_name("N|full");
    p.actions[&basis] = [&p] { return command_basis(p.basis); };
}

void inspect_options(Program& p, CLI::App& inspect) {
    season(p, inspect, command_inspect);
    inspect.add_option("--format", p.settings.format, "text or json (text)")->type_name("FORMAT");
    inspect.add_option("-o,--output", p.settings.output, "write to this file, in one step")
        ->type_name("FILE");
    inspect.add_option("--rules", p.settings.rules, "rules file (else thresh.json here, else the user's)")
        ->type_name("FILE");
    add_import_options(inspect, p.settings);
}

void rules_options(Program& p, CLI::App& rules) {
    rules.require_subcommand(1);
    CLI::App* show = rules.add_subcommand("show", "the rules in force, with where each came from");
    show->add_option("--rules", p.settings.rules, "rules file (else thresh.json here, else the user's)")
        ->type_name("FILE");
    show->add_option("-o,--output", p.settings.output, "write to this file, in one step")->type_name("FILE");
    p.actions[show] = [&p] { return command_rules_show(p.settings); };
    CLI::App* check = rules.add_subcommand("check", "say what a rules file sets, or what is wrong with it");
    check->add_option("FILE", p.rules_files, "rules files")->required()->type_name("");
    p.actions[check] = [&p] { return command_rules_check(p.settings, p.rules_files); };
    CLI::App* start = rules.add_subcommand("start", "write a commented rules file to begin with");
    start->add_option("-o,--output", p.settings.output, "write to this file, in one step")->type_name("FILE");
    p.actions[start] = [&p] { return command_rules_start(p.settings); };
}

void explain_options(Program& p, CLI::App& explain) {
    explain.add_option("CODE", p.codes, "codes of findings; none: a list of all")->type_name("");
    p.actions[&explain] = [&p] { return command_explain(p.codes, {}); };
}

void help_options(Program& p, CLI::App& help) {
    help.add_option("COMMAND", p.help_topic, "a command, as in `help lines` or `help rules show`")
        ->type_name("");
    p.actions[&help] = [&p] {
        const CLI::App* topic = &p.app;
        std::string above;
        for (const std::string& name : p.help_topic) {
            above += above.empty() ? topic->get_name() : " " + topic->get_name();
            topic = find_command(*topic, name);
            if (topic == nullptr) {
                fmt::print(stderr, "thresh: error: there is no command `{}`\n", fmt::join(p.help_topic, " "));
                return kFailed;
            }
        }
        fmt::print("{}", topic->help(above));
        return kDone;
    };
}

constexpr Command kCommands[] = {
    {"run", "the nightly job: all tables as one results folder", run_options},
    {"lines", "one row per material, trial and line: counts, means, SD, SE", lines_options},
    {"samples", "one row per material and sample: what entered it, means", table_options<command_samples>},
    {"readings", "one row per reading: source, verdict, findings, converted values", readings_options},
    {"findings", "one row per finding", table_options<command_findings>},
    {"todo", "what the laboratory must do next, grouped by action", todo_options},
    {"drift", "standards, controls, sessions, instruments over time: limits and signals",
     table_options<command_drift>},
    {"trials", "per trial and constituent: mean, CV, SED, LSD, variance components, heritability",
     trials_options},
    {"trace", "every reading, cell, factor and exclusion behind one number", trace_options},
    {"agree", "NIR against wet chemistry, or instruments against each other", agree_options},
    {"pick", "which samples to send to wet chemistry, and why", pick_options},
    {"basis", "single values on another moisture basis, with uncertainty", basis_options},
    {"inspect", "how files were understood, and the options that pin it; changes nothing", inspect_options},
    {"rules", "the rules in force; check a rules file; write a commented one", rules_options},
    {"explain", "what a finding means, why it matters, what to do", explain_options},
    {"help", "the help of a command", help_options},
};

} // namespace

std::span<const Command> commands() {
    return kCommands;
}

const CLI::App* find_command(const CLI::App& app, const std::string& name) {
    for (const CLI::App* command : app.get_subcommands({}))
        if (command->get_name() == name)
            return command;
    return nullptr;
}

} // namespace thresh::cli

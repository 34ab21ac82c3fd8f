// The nightly job: everything as one results folder, exchanged in one step.
#include "cli/built_with.hpp"
#include "cli/file_source.hpp"
#include "cli/import_options.hpp"
#include "cli/lists.hpp"
#include "cli/messages.hpp"
#include "cli/output.hpp"
#include "cli/progress.hpp"
#include "cli/results_folder.hpp"
#include "cli/run_tables.hpp"
#include "cli/sha256.hpp"
#include "cli/table_command.hpp"
#include "cli/terminal.hpp"
#include "cli/trial_options.hpp"
#include "cli/workbook_result.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <future>
#include <thresh/core/nearest.hpp>
#include <thresh/core/parallel.hpp>
#include <thresh/report/page.hpp>
#include <thresh/report/run_json.hpp>
#include <thresh/report/season_summary.hpp>
#include <thresh/report/write.hpp>
#include <thresh/rules/rules_text.hpp>
#include <thresh/summary/kept_means.hpp>
#include <thresh/summary/overview.hpp>
#include <thresh/summary/season_page.hpp>
#include <unistd.h>

namespace thresh::cli {

namespace {

// What tables are made from. Trial models are there when a member of the folder rests on them.
struct MadeFrom {
    const summary::Season& season;
    const summary::SampleMeans& means;
    const summary::TrialModels* trials = nullptr;
    bool adjusted = false; // --trial-model: adjusted means in lines
    // Means of samples, which `samples` leaves there and `lines` takes; null when not both are written.
    summary::KeptMeans* kept = nullptr;
};

std::unique_ptr<summary::Table> lines_of(const MadeFrom& from) {
    summary::LinesOptions options;
    options.trials = from.adjusted ? from.trials : nullptr;
    options.kept = from.kept;
    return summary::lines_table(from.season, from.means, options);
}

// A table of the folder: what --only calls it and how it is made.
struct Member {
    const char* name;
    std::unique_ptr<summary::Table> (*make)(const MadeFrom&);
};
constexpr Member kMembers[] = {
    {"lines", lines_of},
    {"samples",
     [](const MadeFrom& from) { return summary::samples_table(from.season, from.means, from.kept); }},
    {"readings", [](const MadeFrom& from) { return summary::readings_table(from.season, {}); }},
    {"findings", [](const MadeFrom& from) { return summary::findings_table(from.season); }},
    {"todo", [](const MadeFrom& from) { return summary::todo_table(from.season); }},
    {"drift", [](const MadeFrom& from) { return summary::drift_table(from.season, false); }},
    {"trials",
     [](const MadeFrom& from) { return summary::trials_table(from.season, from.means, *from.trials); }},
    {"rejected", [](const MadeFrom& from) { return summary::rejected_table(from.season); }},
};

bool is_about_trials(const Member* member) {
    return std::string_view(member->name) == "trials";
}

std::string file_of(const Member* member) {
    return std::string(member->name) + ".csv";
}

// `readings` first: its table is there at once, and the others are made while it is written. `samples` before
// `lines`, which takes its means from there. Otherwise the order that was asked for.
std::vector<const Member*> in_order_of_writing(std::vector<const Member*> members) {
    constexpr std::string_view kFirst[] = {"readings", "samples", "lines"};
    const auto rank = [&](const Member* member) { return std::ranges::find(kFirst, member->name); };
    std::ranges::stable_sort(members, {}, rank);
    return members;
}

bool has(const std::vector<const Member*>& members, std::string_view name) {
    return std::any_of(members.begin(), members.end(), [&](const Member* m) { return m->name == name; });
}

std::vector<std::string> names_of_results() {
    std::vector<std::string> names = {"run.json", "datapackage.json", "report.html", "results.xlsx"};
    for (const Member& member : kMembers)
        names.push_back(file_of(&member));
    return names;
}

// What --only asks for; all without it.
struct Wanted {
    std::vector<const Member*> tables;
    bool report = false;   // report.html
    bool workbook = false; // results.xlsx
};

Result<Wanted> wanted_results(const std::optional<std::string>& only) {
    Wanted wanted;
    std::vector<std::string> names = {"report", "workbook"};
    for (const Member& member : kMembers) {
        names.emplace_back(member.name);
        if (!only)
            wanted.tables.push_back(&member);
    }
    if (!only) {
        wanted.report = wanted.workbook = true;
        return wanted;
    }
    for (std::size_t at = 0; at <= only->size();) {
        const std::size_t comma = std::min(only->find(',', at), only->size());
        const std::string name = only->substr(at, comma - at);
        at = comma + 1;
        if (name == "report" || name == "workbook") {
            (name == "report" ? wanted.report : wanted.workbook) = true;
            continue;
        }
        const auto found = std::find_if(std::begin(kMembers), std::end(kMembers),
                                        [&](const Member& m) { return m.name == name; });
        if (found == std::end(kMembers))
            return fail(fmt::format("--only: there is no result `{}`", name),
                        nearest_hint(name, names, "results"));
        if (std::find(wanted.tables.begin(), wanted.tables.end(), found) == wanted.tables.end())
            wanted.tables.push_back(found);
    }
    return wanted;
}

using InputRecords = Result<std::vector<report::RunInput>>;

// SHA-256 of every input that was read, beside its source.
InputRecords hash_inputs(const std::vector<intake::Input>& inputs, unsigned threads) {
    std::vector<Result<std::string>> hashes(inputs.size(), std::string());
    parallel_for(inputs.size(), threads, [&](std::size_t i) {
        if (inputs[i].bytes)
            hashes[i] = sha256(*inputs[i].bytes);
    });
    std::vector<report::RunInput> records;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        if (!hashes[i])
            return tl::unexpected(hashes[i].error());
        if (inputs[i].bytes)
            records.push_back({"export", inputs[i].source, *hashes[i], inputs[i].bytes->size()});
    }
    return records;
}

// A list or rules file that shaped the results.
Result<void> add_record(std::vector<report::RunInput>& records, const char* role,
                        const std::optional<std::string>& path) {
    if (!path || *path == "-")
        return {};
    const auto bytes = open_file(*path);
    if (!bytes)
        return tl::unexpected(bytes.error());
    const auto hash = sha256(**bytes);
    if (!hash)
        return tl::unexpected(hash.error());
    records.push_back({role, *path, *hash, (*bytes)->size()});
    return {};
}

// Wet chemistry for the page. That nothing can be compared yet is told there and stops no nightly job.
Result<std::optional<summary::ReferenceComparison>>
compare(const Settings& settings, const summary::Season& season, const summary::SampleMeans& means) {
    if (!settings.reference)
        return std::optional<summary::ReferenceComparison>();
    const auto options = import_options(settings, season.rules, season.threads);
    if (!options)
        return tl::unexpected(options.error());
    const auto reference =
        read_reference(settings, *options, season.rules.constituents, season.rules.list_headings);
    if (!reference)
        return tl::unexpected(reference.error());
    auto made = summary::compare_with_reference(means, *reference, {});
    if (!made)
        return std::optional(
            summary::ReferenceComparison{{}, {made.error().message + "; " + made.error().help}});
    return std::optional(std::move(*made));
}

Result<void> write_report(const std::string& folder, const Settings& settings, const Wanted& wanted,
                          const MadeFrom& from, const std::string& rules) {
    const auto reference = compare(settings, from.season, from.means);
    if (!reference)
        return tl::unexpected(reference.error());
    report::PageFacts facts;
    facts.version = THRESH_VERSION;
    facts.rules = rules;
    for (const Member* member : wanted.tables)
        facts.files.push_back(file_of(member));
    const auto page = summary::season_page(from.season, from.means, *reference ? &**reference : nullptr,
                                           from.adjusted ? from.trials : nullptr);
    return write_new_file(folder + "/report.html", report::page_html(page, facts));
}

// Fills the folder. Tables take their time to be given back, beside what is left to do: the future waits for
// it.
Result<std::future<void>> fill(const std::string& folder, const Settings& settings, const Prepared& prepared,
                               const Wanted& wanted, std::optional<int> digits,
                               std::future<InputRecords>& input_hashes) {
    const std::vector<const Member*>& members = wanted.tables;
    report::WriteOptions options;
    options.digits = digits;
    options.threads = prepared.threads;
    const summary::Season season = prepared.season();
    const auto means = summary::sample_means(season);
    std::optional<summary::KeptMeans> kept;
    if (has(members, "lines") && has(members, "samples"))
        kept.emplace(*means);
    MadeFrom from{season, *means, nullptr, settings.trial_model, kept ? &*kept : nullptr};
    Result<summary::TrialModels> models;
    if (settings.trial_model || std::any_of(members.begin(), members.end(), is_about_trials)) {
        models = fit_trials(settings, *means, settings.trial_model);
        if (!models)
            return tl::unexpected(models.error());
        from.trials = &*models;
    }
    // What one thread does goes on beside the writing of tables or of another file.
    const auto beside = prepared.threads > 1 ? std::launch::async : std::launch::deferred;
    auto accounting_made = std::async(beside, [&season] { return summary::account(season); });
    Progress progress(settings);
    std::vector<TableToWrite> to_write;
    for (const Member* member : in_order_of_writing(members))
        to_write.push_back({file_of(member), [&from, member] { return member->make(from); }});
    auto tables = write_tables(folder, to_write, options, [&](const std::string& file) {
        progress.stage(fmt::format("writing {}", file));
    });
    if (!tables)
        return tl::unexpected(tables.error());
    const auto asked_for = [&](const WrittenTable& table) {
        return std::find_if(members.begin(), members.end(),
                            [&](const Member* member) { return file_of(member) == table.file; });
    };
    std::sort(tables->begin(), tables->end(),
              [&](const auto& a, const auto& b) { return asked_for(a) < asked_for(b); });
    auto records = input_hashes.get();
    if (!records)
        return tl::unexpected(records.error());
    for (const auto& [role, path] :
         {std::pair("samples", settings.samples), std::pair("decisions", settings.decisions),
          std::pair("reference", settings.reference), std::pair("key", settings.key)})
        if (auto added = add_record(*records, role, path); !added)
            return tl::unexpected(added.error());
    for (const std::string& file : prepared.rules.files)
        if (file != "built-in")
            if (auto added = add_record(*records, "rules", file); !added)
                return tl::unexpected(added.error());

    const summary::Accounting accounting = accounting_made.get();
    if (!accounting.total.adds_up())
        return fail("the rows do not add up: this is a fault of the program",
                    "keep the exports and report it");
    report::RunFacts facts;
    facts.version = THRESH_VERSION;
    facts.libraries = libraries();
    facts.options = options_in_force(settings);
    facts.inputs = std::move(*records);
    facts.left_for_next_time = prepared.found.unsettled;
    facts.rules = rules::show_rules(prepared.rules);
    std::vector<report::PackagedTable> packaged;
    std::vector<std::string> others; // that are no tables
    for (const WrittenTable& table : *tables) {
        packaged.push_back({table.file, table.table.get()});
        facts.results.emplace_back(table.file, table.sha256);
    }
    if (wanted.report) {
        progress.stage("writing report.html");
        if (auto written = write_report(folder, settings, wanted, from, facts.rules); !written)
            return tl::unexpected(written.error());
        others.emplace_back("report.html");
    }
    if (wanted.workbook) {
        progress.stage("writing results.xlsx");
        if (auto written = write_workbook_result(folder, *settings.into + "/results.xlsx", season, *means,
                                                 *lines_of(from), facts.rules, digits);
            !written)
            return tl::unexpected(written.error());
        others.emplace_back("results.xlsx");
    }
    for (const std::string& name : others) {
        const auto file = open_file(folder + "/" + name);
        const auto hash = file ? sha256(**file) : tl::unexpected(file.error());
        if (!hash)
            return tl::unexpected(hash.error());
        facts.results.emplace_back(name, *hash);
    }
    // A package without a table is none.
    const std::string package =
        packaged.empty() ? std::string() : report::data_package(packaged, THRESH_VERSION);
    auto freed = std::async(beside, [made = std::move(*tables)]() mutable { made.clear(); });
    auto package_written = std::async(beside, [&]() -> Result<void> {
        if (package.empty())
            return {};
        return write_new_file(folder + "/datapackage.json", package);
    });
    if (auto done = write_new_file(folder + "/run.json", report::run_json(facts, accounting)); !done)
        return tl::unexpected(done.error());
    if (auto done = package_written.get(); !done)
        return tl::unexpected(done.error());
    return freed;
}

// What a person can check that nothing was touched while it was read.
Result<void> check_unchanged(const Prepared& prepared, const std::vector<std::optional<FileState>>& before) {
    for (std::size_t i = 0; i < before.size(); ++i) {
        if (!before[i])
            continue;
        const auto now = state_of(prepared.found.paths[i]);
        if (!now || *now != *before[i])
            return fail("changed while it was read", "run again when it is complete, or use --settle SECONDS",
                        prepared.found.inputs[i].source);
    }
    return {};
}

} // namespace

int command_run(const Settings& settings) {
    auto wanted = wanted_results(settings.only);
    if (!wanted)
        return failed(settings, wanted.error());
    if (settings.reference && !wanted->report)
        return failed(settings, {"--reference is compared in report.html, which is not wanted",
                                 "add `report` to --only, or leave --reference out",
                                 {},
                                 0,
                                 0});
    if (settings.key && !settings.reference)
        return failed(settings, {"--key opens the codes of reference results, and none are named",
                                 "name their file with --reference FILE",
                                 {},
                                 0,
                                 0});
    const auto digits = digits_of(settings.digits, report::WriteOptions().digits);
    if (!digits)
        return failed(settings, digits.error());
    auto folder = ResultsFolder::begin(*settings.into, names_of_results(), settings.keep);
    if (!folder)
        return failed(settings, folder.error());

    // Inputs are hashed beside what follows, some of which is the work of one thread.
    std::future<InputRecords> input_hashes;
    auto prepared = prepare(settings, [&](const Prepared& so_far) {
        input_hashes = std::async(so_far.threads > 1 ? std::launch::async : std::launch::deferred,
                                  [inputs = so_far.found.inputs, threads = so_far.threads] {
                                      return hash_inputs(inputs, threads);
                                  });
    });
    if (!prepared)
        return failed(settings, prepared.error());
    // Empty tables in the place of yesterday's results would help nobody.
    const auto& files = prepared->batch.readings.files;
    if (files.empty()) { // all are left for next time by --settle
        std::error_code error;
        tell(settings, *prepared,
             fmt::format("nothing to read yet: {} {}\n", *settings.into,
                         std::filesystem::exists(*settings.into, error) ? "stays as it is"
                                                                        : "is not written"));
        return kDone;
    }
    if (std::all_of(files.begin(), files.end(), [](const SourceFile& file) { return file.refused; })) {
        tell(settings, *prepared, "");
        return failed(settings, {"no export could be read",
                                 "correct the exports named above and run again; results "
                                 "written before are as they were",
                                 *settings.into});
    }
    if (!settings.only && !prepared->batch.has_trials)
        std::erase_if(wanted->tables, is_about_trials);
    const auto filled = fill(folder->staging(), settings, *prepared, *wanted, *digits, input_hashes);
    if (!filled)
        return failed(settings, filled.error());
    if (const auto unchanged = check_unchanged(*prepared, prepared->found.states); !unchanged)
        return failed(settings, unchanged.error());
    const auto note = folder->exchange();
    if (!note)
        return failed(settings, note.error());

    std::string said;
    if (!settings.quiet)
        said = report::season_summary(summary::overview(prepared->season()), terminal_width(STDERR_FILENO)) +
               fmt::format("results: {}\n", *settings.into) + (note->empty() ? "" : *note + "\n");
    tell(settings, *prepared, said);
    return season_status(settings, *prepared);
}

} // namespace thresh::cli

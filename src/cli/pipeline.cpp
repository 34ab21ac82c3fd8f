// exports, lists, rules -> readings -> batch -> judgement. What each stage needs of the settings is worked
// out in import_options.cpp and rules_in_force.cpp.
#include "cli/pipeline.hpp"

#include "cli/import_options.hpp"
#include "cli/lists.hpp"
#include "cli/output.hpp"
#include "cli/progress.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <future>
#include <iterator>
#include <optional>
#include <thread>
#include <thresh/batch/decision_places.hpp>

namespace thresh::cli {

unsigned thread_count(const Settings& settings) {
    if (settings.threads)
        return std::max(1U, *settings.threads);
    return std::max(1U, std::thread::hardware_concurrency());
}

namespace {

struct Lists {
    batch::SampleList samples;
    std::vector<batch::Decision> decisions;
    std::vector<IntakeNote> notes;
};

Result<Lists> read_lists(const Settings& settings, const intake::ExportOptions& options,
                         const rules::Ruleset& rules) {
    Lists lists;
    auto samples = read_sample_list(settings, options, rules, lists.notes);
    if (!samples)
        return tl::unexpected(samples.error());
    auto decisions = read_decisions(settings, options, rules.list_headings, lists.notes);
    if (!decisions)
        return tl::unexpected(decisions.error());
    lists.samples = std::move(*samples);
    lists.decisions = std::move(*decisions);
    return lists;
}

// Exports, lists and rules.
std::vector<std::string> files_read(const Settings& settings, const Prepared& prepared) {
    std::vector<std::string> files = prepared.found.paths;
    for (const auto* list : {&settings.samples, &settings.decisions, &settings.reference})
        if (*list)
            files.push_back(**list);
    if (settings.key && !settings.shipment) // a shipment's is written
        files.push_back(*settings.key);
    for (const std::string& file : prepared.rules.files)
        files.push_back(file);
    return files;
}

// Work over which a second thread would take longer to begin than it saves: a session's file.
bool is_little(const Prepared& prepared) {
    constexpr std::uint64_t kLittle = 256 << 10;
    std::uint64_t bytes = 0;
    for (const std::optional<FileState>& state : prepared.found.states)
        bytes += state ? state->size : kLittle; // of unknown length: standard input
    return bytes < kLittle;
}

} // namespace

Result<Prepared> prepare(const Settings& settings,
                         const std::function<void(const Prepared& so_far)>& when_read) {
    Prepared prepared;
    prepared.threads = thread_count(settings);
    if (auto writable = check_output(settings.output); !writable)
        return tl::unexpected(writable.error());

    auto rules = load_rules(settings);
    if (!rules)
        return tl::unexpected(rules.error());
    prepared.rules = std::move(*rules);
    prepared.rules.batch.threads = prepared.threads;

    const auto options = import_options(settings, prepared.rules, prepared.threads);
    if (!options)
        return tl::unexpected(options.error());

    const bool exports_piped = std::ranges::find(settings.exports, "-") != settings.exports.end();
    if (int{exports_piped} + int{settings.samples == "-"} + int{settings.decisions == "-"} > 1)
        return fail("standard input is named twice, and can be read once",
                    "name a file instead of one of the `-`");

    // A list may be as long as the season, so it is read beside the exports; before them when one of them
    // comes from standard input, which may take its time.
    const bool beside =
        prepared.threads > 1 && settings.samples != "-" && settings.decisions != "-" && !exports_piped;
    auto reading_lists = std::async(beside ? std::launch::async : std::launch::deferred,
                                    [&] { return read_lists(settings, *options, prepared.rules); });
    std::optional<Result<Lists>> lists;
    const auto lists_are_good = [&] {
        if (!lists)
            lists = reading_lists.get();
        return lists->has_value();
    };
    if (!beside && !lists_are_good())
        return tl::unexpected(lists->error());

    Progress progress(settings);
    progress.stage("reading exports"); // standard input among them
    prepared.found = find_inputs(settings.exports, settings.settle, prepared.threads);
    if (prepared.found.inputs.empty() && prepared.found.unsettled.empty()) {
        if (!lists_are_good())
            return tl::unexpected(lists->error());
        return fail(fmt::format("no export found in `{}`", fmt::join(settings.exports, "`, `")),
                    "exports end in .csv, .tsv, .txt or .xlsx; name a file to read it whatever its name");
    }

    const std::vector<std::string> read = files_read(settings, prepared);
    for (const auto& written : {settings.output, settings.shipment ? settings.key : std::nullopt})
        if (auto apart = check_not_read(written, read); !apart)
            return tl::unexpected(apart.error());

    progress.stage(fmt::format("reading {} {}", prepared.found.inputs.size(),
                               prepared.found.inputs.size() == 1 ? "export" : "exports"));
    intake::ExportOptions reading_options = *options;
    if (is_little(prepared)) {
        prepared.threads = 1;
        prepared.rules.batch.threads = 1;
        reading_options.threads = 1;
    }
    Readings readings =
        intake::read_exports(prepared.found.inputs, prepared.rules.constituents, reading_options);
    if (when_read)
        when_read(prepared);
    if (!lists_are_good())
        return tl::unexpected(lists->error());
    std::move((*lists)->notes.begin(), (*lists)->notes.end(), std::back_inserter(readings.notes));
    if (settings.decisions)
        if (auto meant = batch::check_places(*settings.decisions, (*lists)->decisions, readings); !meant)
            return tl::unexpected(meant.error());
    progress.stage("putting readings in order");
    prepared.batch = batch::assemble(std::move(readings), std::move((*lists)->samples),
                                     std::move((*lists)->decisions), prepared.rules.batch);
    progress.stage(fmt::format("applying the rules to {} readings", prepared.batch.kind.size()));
    prepared.judgement = rules::judge(prepared.batch, prepared.rules, prepared.threads);
    return prepared;
}

} // namespace thresh::cli

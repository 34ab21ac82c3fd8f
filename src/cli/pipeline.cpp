// exports, lists, rules -> readings -> batch -> judgement. What each stage needs of the settings is worked
// out in import_options.cpp and rules_in_force.cpp.
#include "cli/pipeline.hpp"

#include "cli/import_options.hpp"
#include "cli/lists.hpp"
#include "cli/progress.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <thread>

namespace thresh::cli {

unsigned thread_count(const Settings& settings) {
    if (settings.threads)
        return std::max(1U, *settings.threads);
    return std::max(1U, std::thread::hardware_concurrency());
}

Result<Prepared> prepare(const Settings& settings) {
    Prepared prepared;
    prepared.threads = thread_count(settings);

    auto rules = load_rules(settings);
    if (!rules)
        return tl::unexpected(rules.error());
    prepared.rules = std::move(*rules);
    prepared.rules.batch.threads = prepared.threads;

    const auto options = import_options(settings, prepared.rules, prepared.threads);
    if (!options)
        return tl::unexpected(options.error());

    std::vector<IntakeNote> list_notes;
    auto list = read_sample_list(settings, *options, prepared.rules.list_headings, list_notes);
    if (!list)
        return tl::unexpected(list.error());
    auto decisions = read_decisions(settings, *options, prepared.rules.list_headings, list_notes);
    if (!decisions)
        return tl::unexpected(decisions.error());

    Progress progress(settings);
    progress.stage("reading exports"); // standard input among them
    prepared.found = find_inputs(settings.exports, settings.settle);
    if (prepared.found.inputs.empty() && prepared.found.unsettled.empty())
        return fail(fmt::format("no export found in `{}`", fmt::join(settings.exports, "`, `")),
                    "exports end in .csv, .tsv, .txt or .xlsx; name a file to read it whatever its name");

    progress.stage(fmt::format("reading {} {}", prepared.found.inputs.size(),
                               prepared.found.inputs.size() == 1 ? "export" : "exports"));
    for (const std::string& path : prepared.found.paths) {
        const auto state = path == "-" ? Result<FileState>(fail("")) : state_of(path);
        prepared.states.push_back(state ? std::optional(*state) : std::nullopt);
    }

    Readings readings = intake::read_exports(prepared.found.inputs, prepared.rules.constituents, *options);
    std::move(list_notes.begin(), list_notes.end(), std::back_inserter(readings.notes));
    progress.stage("putting readings in order");
    prepared.batch =
        batch::assemble(std::move(readings), std::move(*list), std::move(*decisions), prepared.rules.batch);
    progress.stage(fmt::format("applying the rules to {} readings", prepared.batch.kind.size()));
    prepared.judgement = rules::judge(prepared.batch, prepared.rules, prepared.threads);
    return prepared;
}

} // namespace thresh::cli

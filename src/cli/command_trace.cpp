// Every reading, cell, moisture, factor and exclusion behind one number.
#include "cli/output.hpp"
#include "cli/table_command.hpp"
#include "cli/terminal.hpp"

#include <thresh/report/inert_text.hpp>
#include <thresh/summary/trace.hpp>
#include <unistd.h>

namespace thresh::cli {

namespace {

Result<std::vector<summary::Trace>> wanted_traces(const Settings& settings,
                                                  const summary::SampleMeans& means) {
    auto traces = summary::trace(means, *settings.line, *settings.constituent);
    if (!traces || !settings.trial)
        return traces;
    std::vector<summary::Trace> of_trial;
    for (summary::Trace& trace : *traces)
        if (trace.trial == *settings.trial)
            of_trial.push_back(std::move(trace));
    if (of_trial.empty())
        return fail("`" + *settings.line + "` does not stand in trial `" + *settings.trial + "`",
                    "leave --trial out to see every trial it stands in");
    return of_trial;
}

// The arithmetic in words.
int as_text(const Settings& settings) {
    if (!settings.where.empty() || settings.sort || settings.top)
        return failed(settings, fail("--where, --sort and --top are about rows of a table, and this is text",
                                     "add --format csv")
                                    .value());
    auto prepared = prepare(settings);
    if (!prepared)
        return failed(settings, prepared.error());
    const auto means = summary::sample_means(prepared->season());
    const auto traces = wanted_traces(settings, *means);
    if (!traces)
        return failed(settings, traces.error());
    auto output = open_output(settings.output);
    if (!output)
        return failed(settings, output.error());
    (*output)->write(report::inert_lines(summary::trace_text(*traces)));
    if (const auto finished = (*output)->finish(); !finished)
        return failed(settings, finished.error());
    tell(settings, *prepared, what_happened(settings, *prepared));
    return season_status(settings, *prepared);
}

} // namespace

// People get the words, programs (any --format) the table.
int command_trace(const Settings& settings) {
    if (!settings.format || settings.format == "table")
        return as_text(settings);
    std::shared_ptr<const summary::SampleMeans> means; // the traces look into them
    return table_command(settings,
                         [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
                             means = summary::sample_means(season);
                             const auto traces = wanted_traces(settings, *means);
                             if (!traces)
                                 return tl::unexpected(traces.error());
                             return summary::trace_table(*traces);
                         });
}

} // namespace thresh::cli

// NIR against wet chemistry, or instruments against each other.
#include "cli/import_options.hpp"
#include "cli/lists.hpp"
#include "cli/output.hpp"
#include "cli/table_command.hpp"

#include <charconv>
#include <fmt/format.h>
#include <thresh/core/nearest.hpp>
#include <thresh/core/time_bound.hpp>
#include <thresh/summary/agreement.hpp>

namespace thresh::cli {

namespace {

// `protein=0.28,120,9`: SEC, samples and terms of the calibration.
Result<void> parse_sec(const std::string& text, const ConstituentTable& table,
                       std::map<ConstituentId, stats::CalibrationError>& into) {
    const auto wrong = [&](const std::string& why) {
        return fail(fmt::format("--sec `{}`: {}", text, why),
                    "write CONSTITUENT=SEC,SAMPLES,TERMS, such as protein=0.28,120,9");
    };
    const std::size_t sign = text.find('=');
    if (sign == std::string::npos)
        return wrong("there is no = in it");
    const auto id = table.find(text.substr(0, sign));
    if (!id)
        return wrong(fmt::format("there is no constituent `{}`", text.substr(0, sign)));
    double numbers[3];
    std::size_t at = sign + 1;
    for (double& number : numbers) {
        const std::size_t comma = std::min(text.find(',', at), text.size());
        const char* end = text.data() + comma;
        const auto [stop, error] = at <= comma ? std::from_chars(text.data() + at, end, number)
                                               : std::from_chars_result{end, std::errc::invalid_argument};
        if (error != std::errc{} || stop != end)
            return wrong("three numbers are wanted");
        at = comma + 1;
    }
    if (at <= text.size() || !(numbers[0] > 0) || numbers[2] < 0 || numbers[1] - numbers[2] - 1 <= 0)
        return wrong("the SEC must be above 0 and the samples more than the terms + 1");
    into[*id] = {numbers[0], numbers[1], numbers[2]};
    return {};
}

struct Comparison {
    batch::ReferenceResults reference;
    summary::ComparisonOptions how;
    summary::ReferenceComparison made;
};

Result<Comparison> comparison(const Settings& settings, const summary::Season& season,
                              const summary::SampleMeans& means) {
    const auto options = import_options(settings, season.rules, season.threads);
    if (!options)
        return tl::unexpected(options.error());
    Comparison comparison;
    for (const std::string& text : settings.sec)
        if (const auto parsed = parse_sec(text, season.rules.constituents, comparison.how.calibration);
            !parsed)
            return tl::unexpected(parsed.error());
    auto reference =
        read_reference(settings, *options, season.rules.constituents, season.rules.list_headings);
    if (!reference)
        return tl::unexpected(reference.error());
    comparison.reference = std::move(*reference);
    auto made = summary::compare_with_reference(means, comparison.reference, comparison.how);
    if (!made)
        return tl::unexpected(made.error());
    comparison.made = std::move(*made);
    return comparison;
}

std::string as_lines(const std::vector<std::string>& notes) {
    std::string text;
    for (const std::string& note : notes)
        text += note + "\n";
    return text;
}

Result<Time> time_option(const char* name, const std::optional<std::string>& text) {
    if (!text)
        return Time{};
    const Time time = time_from_iso(*text);
    if (time.missing())
        return fail(fmt::format("{} `{}` is not a time", name, *text),
                    "write it as 2026-08-03 or 2026-08-03T07:41");
    return time;
}

// The corrections as a rules file.
int adjustments(const Settings& settings) {
    const auto from = time_option("--valid-from", settings.valid_from);
    const auto to = time_option("--valid-to", settings.valid_to);
    for (const auto* time : {&from, &to})
        if (!*time)
            return failed(settings, time->error());
    if (!from->missing() && !to->missing() && from->seconds() > last_second(*to))
        return failed(settings, {fmt::format("--valid-from {} is after --valid-to {}", *settings.valid_from,
                                             *settings.valid_to),
                                 "exchange them",
                                 {},
                                 0,
                                 0});
    auto prepared = prepare(settings);
    if (!prepared)
        return failed(settings, prepared.error());
    const auto means = summary::sample_means(prepared->season());
    const auto made = comparison(settings, prepared->season(), *means);
    if (!made)
        return failed(settings, made.error());
    const auto text =
        summary::adjustment_rules(*means, made->reference, made->how, made->made.sets, *from, *to);
    if (!text)
        return failed(settings, text.error());
    auto output = open_output(settings.output);
    if (!output)
        return failed(settings, output.error());
    (*output)->write(*text);
    if (const auto finished = (*output)->finish(); !finished)
        return failed(settings, finished.error());
    tell(settings, *prepared, as_lines(made->made.notes) + what_happened(settings, *prepared));
    return season_status(settings, *prepared);
}

// What excludes what; nothing when the options fit together.
std::optional<Error> conflict(const Settings& settings) {
    if (settings.between_instruments && (settings.reference || settings.pairs || settings.adjust))
        return Error{"--between-instruments compares instruments, not with reference results",
                     "leave out --reference, --pairs and --adjust, or --between-instruments",
                     {},
                     0,
                     0};
    if (!settings.between_instruments && !settings.reference)
        return Error{"nothing to compare with",
                     "name reference results with --reference FILE, or use --between-instruments",
                     {},
                     0,
                     0};
    if (settings.adjust && settings.pairs)
        return Error{"--adjust writes rules, --pairs a table", "use one of them", {}, 0, 0};
    if (settings.adjust && (settings.format || settings.sort || settings.top || !settings.where.empty()))
        return Error{"--adjust writes rules, --format, --where, --sort and --top are about a table",
                     "leave them out",
                     {},
                     0,
                     0};
    if (!settings.adjust && (settings.valid_from || settings.valid_to))
        return Error{"--valid-from and --valid-to are dates of a correction", "add --adjust", {}, 0, 0};
    return std::nullopt;
}

} // namespace

int command_agree(const Settings& settings) {
    if (const auto error = conflict(settings))
        return failed(settings, *error);
    if (settings.adjust)
        return adjustments(settings);
    std::shared_ptr<const summary::SampleMeans> means;
    std::string notes;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            means = summary::sample_means(season);
            if (settings.between_instruments) {
                const auto pairs = summary::compare_instruments(*means);
                if (!pairs)
                    return tl::unexpected(pairs.error());
                return summary::instruments_table(season, *pairs);
            }
            const auto made = comparison(settings, season, *means);
            if (!made)
                return tl::unexpected(made.error());
            notes = as_lines(made->made.notes);
            return settings.pairs ? summary::agreement_pairs_table(season, made->made.sets)
                                  : summary::agreement_table(season, made->made.sets);
        },
        &notes);
}

} // namespace thresh::cli

#include "cli/table_command.hpp"

#include "cli/messages.hpp"
#include "cli/output.hpp"
#include "cli/terminal.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <thresh/report/inert_text.hpp>
#include <thresh/report/season_summary.hpp>
#include <thresh/report/write.hpp>
#include <thresh/summary/overview.hpp>
#include <thresh/summary/select.hpp>
#include <unistd.h>

namespace thresh::cli {

namespace {

constexpr unsigned kPageWidth = 110;

void to_standard_error(const std::string& text) {
    std::string_view rest = text;
    while (!rest.empty()) {
        const ssize_t n = ::write(STDERR_FILENO, rest.data(), rest.size());
        if (n <= 0)
            return; // nobody listens
        rest.remove_prefix(static_cast<std::size_t>(n));
    }
}

Result<report::Format> parse_format(const std::string& text) {
    if (text == "table")
        return report::Format::table;
    if (text == "csv")
        return report::Format::csv;
    if (text == "tsv")
        return report::Format::tsv;
    if (text == "json")
        return report::Format::json;
    if (text == "ndjson")
        return report::Format::ndjson;
    return fail(fmt::format("--format `{}` is not known", text), "use table, csv, tsv, json or ndjson");
}

Result<report::WriteOptions> write_options(const Settings& settings, unsigned threads) {
    report::WriteOptions options;
    options.threads = threads;
    const bool to_terminal = !settings.output && is_terminal(STDOUT_FILENO);
    if (settings.format) {
        const auto format = parse_format(*settings.format);
        if (!format)
            return tl::unexpected(format.error());
        options.format = *format;
    } else {
        options.format = to_terminal ? report::Format::table : report::Format::csv;
    }
    options.color = wants_color(settings.color, STDOUT_FILENO) && !settings.output;
    // A table that is asked for but goes into a file or pager is fitted to a page.
    const unsigned width = terminal_width(STDOUT_FILENO);
    options.width = width > 0 ? width : kPageWidth;
    const auto digits = digits_of(settings.digits, options.digits);
    if (!digits)
        return tl::unexpected(digits.error());
    options.digits = *digits;
    return options;
}

Result<std::unique_ptr<summary::Table>> selected(std::unique_ptr<summary::Table> table,
                                                 const Settings& settings) {
    if (settings.top == 0U)
        return fail("--top 0 leaves no row", "give the number of rows, or leave --top out");
    const summary::Selection selection{settings.where, settings.sort.value_or(""), settings.top.value_or(0)};
    if (!selection.any())
        return table;
    return summary::select_rows(*table, selection);
}

bool is_refusal(const Finding& finding) {
    static const auto code = rules::code_index("file-refused");
    return finding.code == code;
}

bool worth_telling(const Finding& finding) {
    return finding.severity >= Severity::review &&
           (finding.about == About::file || finding.about == About::column ||
            finding.about == About::decision);
}

bool any(const Finding&) {
    return true;
}

// Which files were read, and how.
std::string decisions(const Prepared& prepared) {
    std::string text;
    for (const SourceFile& file : prepared.batch.readings.files) {
        if (file.refused)
            continue;
        text +=
            fmt::format("{}: {}{}, {} records, {} rejected, {} not readings, {} lines skipped\n", file.source,
                        file.encoding, file.delimiter.empty() ? "" : ", delimiter " + file.delimiter,
                        file.records, file.rejected, file.not_a_reading, file.lines_skipped);
    }
    for (const std::string& name : prepared.found.passed_over)
        text += fmt::format("{}: no export, passed over\n", name);
    for (const std::string& name : prepared.rules.files)
        text += fmt::format("rules: {}\n", name);
    return text;
}

} // namespace

int failed(const Settings& settings, const Error& error) {
    to_standard_error(error_message(error, wants_color(settings.color, STDERR_FILENO)));
    return kFailed;
}

std::string what_happened(const Settings& settings, const Prepared& prepared) {
    if (settings.quiet)
        return {};
    // Somebody sits at the terminal and wants to know what to do next; a log gets one line.
    const bool for_people = is_terminal(STDERR_FILENO);
    const summary::Overview overview = summary::overview(prepared.season(), for_people);
    return for_people ? report::season_summary(overview, terminal_width(STDERR_FILENO))
                      : report::summary_line(overview) + "\n";
}

Result<std::optional<int>> digits_of(const std::optional<std::string>& told, std::optional<int> unless_told) {
    if (!told)
        return unless_told;
    if (*told == "full")
        return std::optional<int>();
    int digits = -1;
    const char* end = told->data() + told->size();
    const auto [at, error] = std::from_chars(told->data(), end, digits);
    if (error != std::errc{} || at != end || digits < 0 || digits > 17)
        return fail(fmt::format("--digits `{}` is no number of decimals", *told), "use 0 to 17, or full");
    return std::optional<int>(digits);
}

int season_status(const Settings& settings, const Prepared& prepared) {
    for (const SourceFile& file : prepared.batch.readings.files)
        if (file.refused)
            return kFailed;
    if (settings.fail_on == "never")
        return kDone;
    const Severity least = settings.fail_on == "review" ? Severity::review : Severity::exclude;
    for (const Finding& finding : prepared.judgement.findings)
        if (finding.severity >= least && !finding.settled)
            return kFindings;
    return kDone;
}

void tell(const Settings& settings, const Prepared& prepared, const std::string& summary) {
    const bool color = wants_color(settings.color, STDERR_FILENO);
    std::string text;
    if (settings.verbose)
        text += report::inert_lines(decisions(prepared));
    if (settings.verbose)
        text += finding_messages(prepared, any, color);
    else if (!settings.quiet)
        text += finding_messages(prepared, worth_telling, color);
    else // the job was not done in full: said whatever -q
        text += finding_messages(prepared, is_refusal, color);
    for (const std::string& name : prepared.found.links)
        if (!settings.quiet)
            text += fmt::format(
                "{}: a link that leads out of the folder, nowhere or in a circle is not followed: name "
                "the file or folder behind it too, if it belongs here\n",
                report::inert_text(name));
    for (const std::string& name : prepared.found.unsettled)
        if (!settings.quiet)
            text += fmt::format("{}: changed within the last --settle seconds, left for next time\n",
                                report::inert_text(name));
    for (const std::string& name : prepared.found.ahead)
        if (!settings.quiet)
            text += fmt::format(
                "{}: its time of change lies ahead of this machine's clock; read, though --settle "
                "cannot tell whether it was complete\n",
                report::inert_text(name));
    const auto& files = prepared.batch.readings.files;
    if (settings.sheet && !settings.quiet &&
        std::none_of(files.begin(), files.end(),
                     [](const SourceFile& file) { return file.refused || file.encoding == "workbook"; }))
        text += fmt::format("--sheet `{}`: no export is a workbook, so that it chose nothing\n",
                            report::inert_text(*settings.sheet));
    if (!settings.quiet)
        text += summary;
    to_standard_error(text);
}

int table_command(const Settings& settings, const MakeTable& make, const std::string* notes) {
    const auto options = write_options(settings, thread_count(settings));
    if (!options)
        return failed(settings, options.error());
    auto prepared = prepare(settings);
    if (!prepared)
        return failed(settings, prepared.error());
    auto table = make(prepared->season());
    if (!table)
        return failed(settings, table.error());
    table = selected(std::move(*table), settings);
    if (!table)
        return failed(settings, table.error());

    auto output = open_output(settings.output);
    if (!output)
        return failed(settings, output.error());
    report::write_table(**table, *options, [&](std::string_view bytes) { return (*output)->write(bytes); });
    if (const auto finished = (*output)->finish(); !finished)
        return failed(settings, finished.error());

    tell(settings, *prepared,
         (notes != nullptr ? report::inert_lines(*notes) : "") + what_happened(settings, *prepared));
    return season_status(settings, *prepared);
}

} // namespace thresh::cli

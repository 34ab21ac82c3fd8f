#include "cli/option_groups.hpp"

#include <charconv>

namespace thresh::cli {

namespace {

std::uint32_t parse_count(const std::string& name, const std::string& text) {
    std::uint32_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size())
        throw CLI::ValidationError(name, "`" + text + "` is no whole number");
    return value;
}

} // namespace

CLI::Option* add_count(CLI::App& command, const std::string& name, std::optional<std::uint32_t>& into,
                       const std::string& description) {
    return command
        .add_option_function<std::string>(
            name, [name, &into](const std::string& text) { into = parse_count(name, text); }, description)
        ->type_name("N");
}

CLI::Option* add_count(CLI::App& command, const std::string& name, std::uint32_t& into,
                       const std::string& description) {
    return command
        .add_option_function<std::string>(
            name, [name, &into](const std::string& text) { into = parse_count(name, text); }, description)
        ->type_name("N");
}

void add_exports(CLI::App& command, Settings& settings) {
    command
        .add_option(
            "EXPORT", settings.exports,
            "export files, folders (searched recursively for .csv .tsv .txt .xlsx), or - for standard input")
        ->required()
        ->type_name("");
}

CLI::Option* may_be_given_again(CLI::Option* option) {
    return option->expected(1)->take_all()->allow_extra_args(false);
}

void add_rules_options(CLI::App& command, Settings& settings) {
    const auto group = "Rules and lists";
    command.add_option("--rules", settings.rules, "rules file (else thresh.json here, else the user's)")
        ->type_name("FILE")
        ->group(group);
    command
        .add_option("--samples", settings.samples, "sample list: sample, line and what is known of the trial")
        ->type_name("FILE")
        ->group(group);
    command.add_option("--decisions", settings.decisions, "what a person settled: keep, drop, rename")
        ->type_name("FILE")
        ->group(group);
    command.add_option("--basis", settings.basis, "as-is, dry or percent moisture for all results")
        ->type_name("BASIS")
        ->group(group);
    may_be_given_again(command
                           .add_option("--severity", settings.severity,
                                       "CODE=off, note, review or exclude; may be given again")
                           ->type_name("CODE=LEVEL")
                           ->group(group));
    command.add_option("--material", settings.material, "only readings of this material")
        ->type_name("NAME")
        ->group(group);
    command.add_option("--from", settings.from, "only readings from this time on (a day, or day and time)")
        ->type_name("TIME")
        ->group(group);
    command.add_option("--to", settings.to, "only readings up to this time (a day means the whole day)")
        ->type_name("TIME")
        ->group(group);
}

void add_import_options(CLI::App& command, Settings& settings) {
    const auto group = "Import overrides (each is found by itself; given, it is not questioned)";
    command.add_option("--delimiter", settings.delimiter, ", ; | or tab")->type_name("MARK")->group(group);
    command.add_option("--decimal", settings.decimal, ". or ,")->type_name("MARK")->group(group);
    command.add_option("--encoding", settings.encoding, "UTF-8, UTF-16LE, UTF-16BE or Windows-1252")
        ->type_name("NAME")
        ->group(group);
    add_count(command, "--header-row", settings.header_row, "line or sheet row of the headings")
        ->group(group);
    command.add_option("--date-format", settings.date_format, "iso, dmy, mdy, ymd, serial1900 or serial1904")
        ->type_name("FORMAT")
        ->group(group);
    command.add_option("--sheet", settings.sheet, "the sheet of a workbook to read")
        ->type_name("NAME")
        ->group(group);
    command.add_option("--assume-basis", settings.assume_basis, "basis of columns whose heading states none")
        ->type_name("BASIS")
        ->group(group);
    command
        .add_option("--assume-material", settings.assume_material,
                    "material of readings that do not say theirs")
        ->type_name("NAME")
        ->group(group);
}

void add_output_options(CLI::App& command, Settings& settings) {
    const auto group = "Output";
    command
        .add_option("--format", settings.format,
                    "table (on a terminal), csv (otherwise), tsv, json or ndjson")
        ->type_name("FORMAT")
        ->group(group);
    command
        .add_option("--sort", settings.sort, "columns to sort by, comma between; -column for largest first")
        ->type_name("COLUMNS")
        ->group(group);
    may_be_given_again(
        command
            .add_option("--where", settings.where,
                        "only rows for which this holds, such as 'protein > 36'; may be given again")
            ->type_name("CONDITION")
            ->group(group));
    add_count(command, "--top", settings.top, "only the first N rows")->group(group);
    command.add_option("-o,--output", settings.output, "write to this file, in one step")
        ->type_name("FILE")
        ->group(group);
    command
        .add_option("--digits", settings.digits,
                    "decimals in files, or full for the shortest that reads back (4)")
        ->type_name("N|full")
        ->group(group);
}

void add_common_options(CLI::App& command, Settings& settings) {
    const auto group = "Habits";
    command.add_option("--fail-on", settings.fail_on, "exit with 1 at findings of review or exclude (never)")
        ->check(CLI::IsMember({"never", "review", "exclude"}))
        ->type_name("LEVEL")
        ->group(group);
    command.add_option("--color", settings.color, "auto, always or never")
        ->check(CLI::IsMember({"auto", "always", "never"}))
        ->type_name("WHEN")
        ->group(group);
    add_count(command, "--threads", settings.threads, "threads to work on (all); results do not depend on it")
        ->group(group);
    command.add_flag("-q,--quiet", settings.quiet, "say nothing on success")->group(group);
    command.add_flag("-v,--verbose", settings.verbose, "say every decision and every finding")->group(group);
}

} // namespace thresh::cli

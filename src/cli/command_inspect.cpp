// How files were understood: each decision with its runner-up and the option that pins it. Changes nothing.
#include "cli/commands.hpp"
#include "cli/import_options.hpp"
#include "cli/inputs.hpp"
#include "cli/output.hpp"
#include "cli/pipeline.hpp"
#include "cli/table_command.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <thresh/intake/inspect.hpp>
#include <thresh/report/inert_text.hpp>

namespace thresh::cli {

namespace {

using nlohmann::ordered_json;

std::string plain(const std::string& text) {
    return report::inert_text(text);
}

// `found, nothing came near`, `found, runner-up ;`, `given`
std::string how(const intake::Decision& decision) {
    if (decision.given)
        return "given";
    if (decision.chosen.empty())
        return "undecided";
    if (decision.runner_up.empty())
        return "found";
    return fmt::format("found; next best {}, margin {:.2f}", plain(decision.runner_up), decision.margin);
}

std::string decisions_text(const intake::Inspection& seen) {
    std::string text;
    std::size_t width = 0;
    for (const auto& decision : seen.decisions)
        width = std::max(width, decision.what.size());
    for (const auto& decision : seen.decisions) {
        text += fmt::format("  {:<{}}  {}  ({}{}{})", decision.what, width,
                            decision.chosen.empty() ? "?" : plain(decision.chosen), how(decision),
                            decision.why.empty() || decision.given ? "" : ": ",
                            decision.given ? "" : plain(decision.why));
        if (!decision.option.empty())
            text += fmt::format("  {}", plain(decision.option));
        text += '\n';
    }
    return text;
}

std::string columns_text(const intake::TableInspection& table) {
    std::string text = fmt::format("  table{}: headings on line {}, {} readings\n",
                                   table.sheet.empty() ? "" : " `" + plain(table.sheet) + "`",
                                   table.heading_line, table.readings);
    for (const auto& column : table.columns) {
        text += fmt::format("    {:>3}  {:<24} ", column.position + 1, plain(column.heading));
        if (column.meaning.empty()) {
            text += column.heading.empty() ? "without heading, not used\n" : "not used\n";
            continue;
        }
        text += column.meaning;
        for (const auto& [name, value] :
             {std::pair("unit", column.unit), std::pair("part of", column.part_of),
              std::pair("basis", column.basis), std::pair("decimal", column.decimal)})
            if (!value.empty())
                text += fmt::format(", {} {}", name, plain(value));
        text += '\n';
    }
    return text;
}

std::string as_text(const intake::Inspection& seen) {
    std::string text = plain(seen.file.source) + "\n";
    if (seen.file.refused)
        return text + fmt::format("  refused: {}\n  help: {}\n", plain(seen.file.refusal.message),
                                  plain(seen.file.refusal.help));
    text += decisions_text(seen);
    text += fmt::format("  records  {}: {} rejected, {} not readings; {} lines skipped\n", seen.file.records,
                        seen.file.rejected, seen.file.not_a_reading, seen.file.lines_skipped);
    for (const std::string& fact : seen.file.preamble)
        text += fmt::format("  above the headings: {}\n", plain(fact));
    for (const auto& table : seen.tables)
        text += columns_text(table);
    for (const IntakeNote& note : seen.notes)
        text += fmt::format("  {}[{}]{}: {}\n{}", note.doubt ? "doubt" : "note", note.code,
                            note.line > 0 ? fmt::format(" line {}", note.line) : "", plain(note.message),
                            note.help.empty() ? "" : fmt::format("    help: {}\n", plain(note.help)));
    for (const RejectedRow& row : seen.rejected)
        text +=
            fmt::format("  rejected line {}: {}\n    {}\n", row.line, plain(row.reason), plain(row.record));
    if (!seen.options.empty())
        text += fmt::format("  to pin all of this: {}\n", plain(seen.options));
    return text;
}

ordered_json as_json(const intake::Inspection& seen) {
    ordered_json json = {{"source", seen.file.source}, {"refused", seen.file.refused}};
    if (seen.file.refused)
        json["refusal"] = {{"message", seen.file.refusal.message},
                           {"help", seen.file.refusal.help},
                           {"line", seen.file.refusal.line}};
    json["encoding"] = seen.file.encoding;
    json["records"] = seen.file.records;
    json["rejected"] = seen.file.rejected;
    json["not_a_reading"] = seen.file.not_a_reading;
    json["lines_skipped"] = seen.file.lines_skipped;
    json["preamble"] = seen.file.preamble;
    json["decisions"] = ordered_json::array();
    for (const auto& d : seen.decisions)
        json["decisions"].push_back({{"what", d.what},
                                     {"sheet", d.sheet},
                                     {"chosen", d.chosen},
                                     {"given", d.given},
                                     {"why", d.why},
                                     {"margin", d.margin},
                                     {"runner_up", d.runner_up},
                                     {"option", d.option}});
    json["tables"] = ordered_json::array();
    for (const auto& t : seen.tables) {
        ordered_json columns = ordered_json::array();
        for (const auto& c : t.columns)
            columns.push_back({{"position", c.position + 1},
                               {"heading", c.heading},
                               {"meaning", c.meaning},
                               {"unit", c.unit},
                               {"part_of", c.part_of},
                               {"basis", c.basis},
                               {"decimal", c.decimal},
                               {"rules", c.rules}});
        json["tables"].push_back({{"sheet", t.sheet},
                                  {"heading_line", t.heading_line},
                                  {"readings", t.readings},
                                  {"columns", columns}});
    }
    json["notes"] = ordered_json::array();
    for (const IntakeNote& n : seen.notes)
        json["notes"].push_back({{"code", n.code},
                                 {"doubt", n.doubt},
                                 {"sheet", n.sheet},
                                 {"line", n.line},
                                 {"column", n.column},
                                 {"heading", n.heading},
                                 {"message", n.message},
                                 {"help", n.help}});
    json["first_rejected"] = ordered_json::array();
    for (const RejectedRow& r : seen.rejected)
        json["first_rejected"].push_back(
            {{"sheet", r.sheet}, {"line", r.line}, {"reason", r.reason}, {"record", r.record}});
    json["options"] = seen.options;
    return json;
}

} // namespace

int command_inspect(const Settings& settings) {
    const auto rules = load_rules(settings);
    if (!rules)
        return failed(settings, rules.error());
    const auto options = import_options(settings, *rules, thread_count(settings));
    if (!options)
        return failed(settings, options.error());
    const bool json = settings.format == "json";
    if (settings.format && !json && settings.format != "text")
        return failed(settings, Error{fmt::format("--format `{}` is not known here", *settings.format),
                                      "use text or json",
                                      {},
                                      0,
                                      0});

    const FoundInputs found = find_inputs(settings.exports, 0);
    if (found.inputs.empty())
        return failed(settings,
                      Error{"no export found", "exports end in .csv, .tsv, .txt or .xlsx", {}, 0, 0});
    ordered_json all = ordered_json::array();
    std::string text;
    int status = kDone;
    for (const intake::Input& input : found.inputs) {
        const intake::Inspection seen = intake::inspect(input, rules->constituents, *options);
        if (seen.file.refused)
            status = kFailed;
        if (json)
            all.push_back(as_json(seen));
        else
            text += (text.empty() ? "" : "\n") + as_text(seen);
    }
    if (json)
        text = all.dump(2, ' ', false, ordered_json::error_handler_t::replace) + "\n";
    auto output = open_output(settings.output);
    if (!output)
        return failed(settings, output.error());
    (*output)->write(text);
    const auto finished = (*output)->finish();
    return finished ? status : failed(settings, finished.error());
}

} // namespace thresh::cli

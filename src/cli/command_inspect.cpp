// How files were understood: each decision with its runner-up and the option that pins it. Changes nothing.
#include "cli/commands.hpp"
#include "cli/import_options.hpp"
#include "cli/inputs.hpp"
#include "cli/output.hpp"
#include "cli/pipeline.hpp"
#include "cli/table_command.hpp"

#include <fmt/format.h>
#include <map>
#include <nlohmann/json.hpp>
#include <thresh/core/utf8.hpp>
#include <thresh/intake/inspect.hpp>
#include <thresh/report/inert_text.hpp>

namespace thresh::cli {

namespace {

using nlohmann::ordered_json;

std::string plain(const std::string& text) {
    return report::inert_text(text);
}

constexpr std::size_t kUnusedShown = 20; // columns without meaning, of each table

// `found: all bytes are UTF-8`, `found; next best ;, margin 0.40`, `given`, `undecided: see below`
std::string how(const intake::Decision& decision) {
    if (decision.given)
        return "given";
    std::string text = decision.chosen.empty() ? "undecided" : decision.what == "basis" ? "assumed" : "found";
    if (!decision.why.empty())
        text += ": " + plain(decision.why);
    if (!decision.runner_up.empty())
        text += fmt::format("; next best {}, margin {:.2f}", plain(decision.runner_up), decision.margin);
    return text;
}

std::string decisions_text(const intake::Inspection& seen) {
    std::string text;
    std::size_t width = 0;
    for (const auto& decision : seen.decisions)
        width = std::max(width, decision.what.size());
    for (const auto& decision : seen.decisions) {
        text += fmt::format("  {:<{}}  {}  ({})", decision.what, width,
                            decision.chosen.empty() ? "?" : plain(decision.chosen), how(decision));
        if (!decision.option.empty())
            text += fmt::format("  {}", plain(decision.option));
        text += '\n';
    }
    return text;
}

// `decimal comma`, `decimal point (thousands ')`
std::string mark_text(const std::string& decimal) {
    const std::string name = decimal[0] == ',' ? "comma" : decimal[0] == '.' ? "point" : "mark open";
    return "decimal " + name + plain(decimal.substr(1));
}

// `3 numbers, 1 missing, 1 unreadable (line 3: `38..1`)`
std::string cells_text(const intake::ColumnMeaning& column) {
    std::string text = fmt::format("{} number{}", column.numbers, column.numbers == 1 ? "" : "s");
    for (const auto& [count, what] :
         {std::pair(column.missing, "missing"), std::pair(column.below_limit, "below a limit"),
          std::pair(column.open, "empty until settled"), std::pair(column.unreadable, "unreadable")})
        if (count > 0)
            text += fmt::format(", {} {}", count, what);
    if (column.unreadable > 0)
        text += fmt::format(" (line {}: `{}`)", column.unreadable_line,
                            beginning(plain(column.unreadable_text), 60));
    return text;
}

std::string columns_text(const intake::TableInspection& table) {
    const std::string unit_rows = table.unit_rows > 1
                                      ? fmt::format(", {} rows of units below", table.unit_rows)
                                  : table.unit_rows > 0 ? ", a row of units below"
                                                        : "";
    std::string text =
        fmt::format("  table{}: headings on line {}{}, {} reading{}\n",
                    table.sheet.empty() ? "" : " `" + plain(table.sheet) + "`", table.heading_line, unit_rows,
                    table.readings, table.readings == 1 ? "" : "s");
    std::size_t unused = 0;
    for (const auto& column : table.columns) {
        if (column.meaning.empty() && ++unused > kUnusedShown)
            continue;
        text += fmt::format("    {:>3}  {:<24} ", column.position + 1, plain(column.heading));
        if (column.meaning.empty()) {
            text += column.heading.empty() ? "without heading, not used\n" : "not used\n";
            continue;
        }
        text += column.meaning;
        for (const auto& [name, value] :
             {std::pair("unit", column.unit), std::pair("part of", column.part_of),
              std::pair(column.basis_assumed ? "assumed basis" : "basis", column.basis)})
            if (!value.empty())
                text += fmt::format(", {} {}", name, plain(value));
        if (!column.decimal.empty())
            text += ", " + mark_text(column.decimal);
        if (!column.decimal.empty())
            text += "; " + cells_text(column);
        text += '\n';
    }
    if (unused > kUnusedShown)
        text += fmt::format("    ... and {} more columns that are not used (--format json lists them)\n",
                            unused - kUnusedShown);
    return text;
}

std::string note_text(const IntakeNote& note) {
    const bool keeps_cells = note.doubt && (note.code == "decimal-doubtful" || note.code == "unit-doubtful" ||
                                            note.code == "date-doubtful");
    std::string text =
        fmt::format("  {}[{}]{}: {}{}\n", note.doubt ? "open" : "note", note.code,
                    note.line > 0 ? fmt::format(" line {}", note.line) : "", plain(note.message),
                    keeps_cells ? "; the cells stay empty until it is settled" : "");
    if (!note.help.empty())
        text += fmt::format("    help: {}{}\n", note.help.starts_with("--") ? "give " : "", plain(note.help));
    return text;
}

std::string as_text(const intake::Inspection& seen) {
    std::string text = plain(seen.file.source) + "\n";
    if (seen.file.refused)
        return text + fmt::format("  refused: {}\n  help: {}\n", plain(seen.file.refusal.message),
                                  plain(seen.file.refusal.help));
    text += "  how it was understood (what was found or given, and the option that says it):\n";
    text += decisions_text(seen);
    text += fmt::format("  rows below the headings: {}, of them {} readings, {} rejected, {} not readings\n"
                        "  lines skipped, above headings or blank: {}\n",
                        seen.file.records, seen.file.records - seen.file.rejected - seen.file.not_a_reading,
                        seen.file.rejected, seen.file.not_a_reading, seen.file.lines_skipped);
    for (std::string fact : seen.file.preamble) {
        while (!fact.empty() && std::string_view(" ,;|\t").find(fact.back()) != std::string_view::npos)
            fact.pop_back(); // what a spreadsheet fills a short line up with
        text += fmt::format("  above the headings: {}\n", plain(fact));
    }
    for (const auto& table : seen.tables)
        text += columns_text(table);
    for (const IntakeNote& note : seen.notes)
        if (note.code != "row-rejected") // each stands below with its record
            text += note_text(note);
    for (const RejectedRow& row : seen.rejected)
        text +=
            fmt::format("  rejected line {}: {}\n    {}\n", row.line, plain(row.reason), plain(row.record));
    if (seen.file.rejected > seen.rejected.size())
        text += fmt::format("  ... and {} more rejected lines: `thresh run` writes all to rejected.csv\n",
                            seen.file.rejected - seen.rejected.size());
    if (!seen.options.empty())
        text += fmt::format("  to pin all of this: {}\n", plain(seen.options));
    if (!seen.rules.empty()) {
        text += "  to pin the columns, in the rules file:\n";
        for (std::size_t at = 0; at < seen.rules.size();) {
            const std::size_t end = std::min(seen.rules.find('\n', at), seen.rules.size());
            text += "    " + plain(seen.rules.substr(at, end - at)) + "\n";
            at = end + 1;
        }
    }
    return text;
}

// Constituents that are a share of one thing in some tables and of another elsewhere: means take one of them.
class Shares {
  public:
    explicit Shares(const ConstituentTable& constituents) : constituents_(constituents) {}

    void add(const intake::Inspection& seen) {
        for (const auto& table : seen.tables)
            for (const auto& column : table.columns)
                if (!column.part_of.empty())
                    shares_[column.meaning].emplace(column.part_of,
                                                    fmt::format("`{}` of {}:{}", plain(column.heading),
                                                                plain(seen.file.source), table.heading_line));
    }
    std::vector<std::string> mixed() const {
        std::vector<std::string> texts;
        for (const auto& [name, columns] : shares_) {
            if (columns.size() < 2)
                continue;
            const auto id = constituents_.find(name);
            const std::string usual = id ? intake::to_text(constituents_[*id].part_of) : std::string();
            std::string text;
            for (const auto& [part, where] : columns)
                text += fmt::format("{}{} is a share of the {}", text.empty() ? "" : ", ", where, part);
            texts.push_back(
                fmt::format("{}: {}; means take {} only", name, text,
                            columns.contains(usual) ? "shares of the " + usual : std::string("the first")));
        }
        return texts;
    }

  private:
    const ConstituentTable& constituents_;
    std::map<std::string, std::map<std::string, std::string>> shares_; // constituent, share, first column
};

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
                               {"basis_assumed", c.basis_assumed},
                               {"decimal", c.decimal},
                               {"numbers", c.numbers},
                               {"missing", c.missing},
                               {"below_limit", c.below_limit},
                               {"open", c.open},
                               {"unreadable", c.unreadable},
                               {"rules", c.rules}});
        json["tables"].push_back({{"sheet", t.sheet},
                                  {"heading_line", t.heading_line},
                                  {"unit_rows", t.unit_rows},
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
    json["rules"] = seen.rules;
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

    if (const auto writable = check_output(settings.output); !writable)
        return failed(settings, writable.error());
    const FoundInputs found = find_inputs(settings.exports, 0, 1);
    if (found.inputs.empty())
        return failed(settings,
                      Error{"no export found", "exports end in .csv, .tsv, .txt or .xlsx", {}, 0, 0});
    if (const auto apart = check_not_read(settings.output, found.paths); !apart)
        return failed(settings, apart.error());
    ordered_json all = ordered_json::array();
    std::string text;
    int status = kDone;
    Shares shares(rules->constituents);
    for (const intake::Input& input : found.inputs) {
        const intake::Inspection seen = intake::inspect(input, rules->constituents, *options);
        if (seen.file.refused)
            status = kFailed;
        shares.add(seen);
        if (json)
            all.push_back(as_json(seen));
        else
            text += (text.empty() ? "" : "\n") + as_text(seen);
    }
    for (const std::string& mixed : shares.mixed())
        text += "\nshares differ: " + mixed + "\n";
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

// Declarations only: what a column is called, its type, and one line that says what it holds.
#include <thresh/summary/columns.hpp>

#include "summary/cells.hpp"
#include "summary/columns_breeding.hpp"

#include <algorithm>
#include <cassert>
#include <cstdlib>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

using enum ColumnType;

std::string replaced(std::string_view text, std::string_view by) {
    std::string made(text);
    for (auto at = made.find("{c}"); at != std::string::npos; at = made.find("{c}", at + by.size()))
        made.replace(at, 3, by);
    return made;
}

std::vector<TableDeclaration> declare() {
    return {
        // clang-format off
        {"lines", "one row per material, trial and line, in bytewise order of these; a listed line without a usable reading has a row with n = 0",
         {{"material", text, "material as read, or as listed where nothing was read; empty when unknown"},
          {"trial", text, "trial of the sample list", 0, "the list has trials"},
          {"line", text, "breeding line of the sample list; without a list what `sample_id` makes of the ID, or the sample itself"},
          {"check", text, "yes for a check variety, no otherwise; empty without a sample list", 1},
          {"basis", text, "moisture basis of the parts of the sample: as-is, dry, or percent moisture", 1},
          {"status", text, "complete: every plot of the list (or sample, where it has no plots) has a usable value; partial: some have; none", 0},
          {"adjusted", text, "constituents whose values the rules correct (`adjust`), joined by ;", 1, "the rules adjust values"},
          {"plots", integer, "plots with a reading", 1, "the list has plots"},
          {"samples", integer, "samples with a reading", 1},
          {"readings", integer, "readings of seed: used + excluded", 1},
          {"readings_used", integer, "readings with verdict use or review", 1},
          {"readings_review", integer, "of the used ones, those with verdict review", 1},
          {"readings_excluded", integer, "readings with verdict exclude or superseded", 1},
          {"{c}", number, "{c}: mean over plots, each the mean of its samples' means; a ratio is the ratio of the mean inputs"},
          {"{c}_sd", number, "{c}: standard deviation over plots (n - 1); empty for n = 1 and for ratios", 2},
          {"{c}_se", number, "{c}: standard error, SD / sqrt(n)", 2},
          {"{c}_n", integer, "{c}: plots with a usable value (samples, where the list has no plots)", 2},
          {"{c}_flagged", integer, "{c}: values that findings about them or their session mark review or exclude, in all readings of the line", 2},
          {"{c}_adj", number, "{c}: adjusted mean (BLUE) over the environments of the trial; empty where it cannot be estimated, the notes say why", 0, "--trial-model; no ratios"},
          {"{c}_adj_se", number, "{c}: standard error of the adjusted mean", 1, "--trial-model"},
          {"{c}_blup", number, "{c}: prediction (BLUP): grand mean plus the shrunken effect of the line", 1, "--trial-model"},
          {"{c}_rank", integer, "{c}: rank of the prediction among all lines of the trial, checks included; 1 is best", 0, "--trial-model"},
          {"{c}_chance_best", number, "{c}: chance that the line is among the best K of those that are no checks, from the joint distribution of the predictions", 0, "--best K"},
          {"{c}_certain", number, "{c}: the mean (adjusted mean with --trial-model) without readings and values under review", 1, "--cut-off, --best"},
          {"{c}_decision", text, "{c}: in or out by the cut-off, or by rank among the best K lines that are no checks; where leaving out what is under review changes it, both: `in, out without review`", 0, "--cut-off, --best"},
          {"{c}_vs_CHECK", number, "{c}: adjusted mean minus that of CHECK; one column for each check", 0, "--trial-model"},
          {"{c}_vs_CHECK_p", number, "{c}: Dunnett's simultaneous p over all lines of the trial; with --plain Student's for this comparison alone", 0, "--trial-model"}}},
        {"lines_long", "one row per material, trial, line and constituent (`lines --long`)",
         {{"material", text, "as in lines"},
          {"trial", text, "as in lines", 0, "the list has trials"},
          {"line", text, "as in lines"},
          {"constituent", text, "name of the constituent"},
          {"unit", text, "unit of mean, SD, SE, min, median and max"},
          {"part_of", text, "what the percentage is a share of: sample, oil, protein; empty for ratios and indices", 1},
          {"basis", text, "moisture basis; empty for parts of oil and protein, ratios and indices; moisture is as-is", 1},
          {"n", integer, "plots with a usable value"},
          {"mean", number, "mean over plots"},
          {"sd", number, "standard deviation over plots (n - 1)"},
          {"se", number, "standard error of the mean"},
          {"min", number, "smallest plot mean; empty for ratios", 1},
          {"median", number, "median of the plot means; empty for ratios", 1},
          {"max", number, "largest plot mean; empty for ratios", 1},
          {"flagged", integer, "values that findings about them or their session mark review or exclude"},
          {"adjusted", text, "yes where the rules correct a value of it (`adjust`)", 1, "the rules adjust values"},
          {"adj", number, "adjusted mean (BLUE)", 0, "--trial-model"},
          {"adj_se", number, "its standard error", 0, "--trial-model"},
          {"blup", number, "prediction (BLUP)", 0, "--trial-model"},
          {"rank", integer, "rank of the prediction in the trial", 0, "--trial-model"},
          {"chance_best", number, "chance of being among the best K", 0, "--best K"},
          {"certain", number, "mean without what is under review", 1, "--cut-off, --best"},
          {"decision", text, "in or out, with and without what is under review", 0, "--cut-off, --best"},
          {"vs_CHECK", number, "adjusted mean minus that of CHECK", 0, "--trial-model"},
          {"vs_CHECK_se", number, "its standard error", 1, "--trial-model"},
          {"vs_CHECK_p", number, "its p (Dunnett; with --plain Student)", 0, "--trial-model", 4},
          {"vs_CHECK_low", number, "lower limit of its interval (Dunnett; with --plain Student)", 1, "--trial-model"},
          {"vs_CHECK_high", number, "upper limit", 1, "--trial-model"}}},
        {"samples", "one row per material and sample that was read, in bytewise order of these",
         {{"material", text, "material as read; empty when unknown"},
          {"sample", text, "sample ID"},
          {"line", text, "breeding line; empty when the sample is not listed"},
          {"trial", text, "trial of the sample list", 1},
          {"environment", text, "environment of the sample list", 1},
          {"rep", text, "replicate of the sample list", 1},
          {"block", text, "block of the sample list", 1},
          {"plot", text, "field plot of the sample list", 1},
          {"check", text, "yes for a check variety, no otherwise; empty without a sample list", 1},
          {"verdict", text, "use or review: the strongest among the readings used; exclude: no reading is usable"},
          {"findings", text, "code[:constituent] of its readings, of the sample, of their sessions and of what a session marks in them, sorted, joined by ;"},
          {"adjusted", text, "constituents whose values the rules correct (`adjust`), joined by ;", 1, "the rules adjust values"},
          {"readings", integer, "readings of the sample in this material", 1},
          {"readings_used", integer, "readings with verdict use or review", 1},
          {"{c}", number, "{c}: arithmetic mean of the usable values, each converted with its own reading's moisture; a ratio is the ratio of the mean inputs"},
          {"{c}_n", integer, "{c}: values that the mean rests on", 2},
          {"{c}_quoted", number, "{c}: value to quote for the readings in order of time (ISO 5725-6, 5.2.2: mean or median by the critical range); empty where the rules know no repeatability SD", 2}}},
        {"readings", "one row per reading but rejected and not_a_reading, in order of source, sheet and row",
         {{"source", text, "file, as given joined with the path below it; with [sheet] where several sheets of a workbook hold readings"},
          {"row", integer, "physical line (sheet row) where the record starts"},
          {"kind", text, "seed, standard, control, repeated, ignored or outside_selection"},
          {"time", time, "time of reading, as exported", 1},
          {"instrument", text, "instrument", 1},
          {"session", text, "session: instrument and start", 2},
          {"operator", text, "who read it", 2},
          {"analysis", text, "name under which the instrument ran the reading", 2},
          {"calibration", text, "calibration and its version", 2},
          {"material", text, "material; empty when unknown"},
          {"sample", text, "sample ID"},
          {"line", text, "breeding line; empty when the sample is not listed"},
          {"trial", text, "trial of the sample list", 1},
          {"environment", text, "environment of the sample list", 1},
          {"rep", text, "replicate of the sample list", 1},
          {"plot", text, "field plot of the sample list", 1},
          {"verdict", text, "use, review, exclude or superseded; only for seed"},
          {"findings", text, "code[:constituent] of the reading, its values, its sample and its session, and of what another session marks in it (a control that was off later), sorted, joined by ;"},
          {"basis", text, "moisture basis of the parts of the sample"},
          {"adjusted", text, "constituents whose values the rules correct (`adjust`), joined by ;", 1, "the rules adjust values"},
          {"{c}", number, "{c}, converted with this reading's moisture; empty when missing or excluded by its own findings; ratios are not of single readings"},
          {"{c}_as_read", number, "{c} as exported, in percent on its stated basis", 1, "--as-read"}}},
        {"readings_long", "one row per value of a reading (`readings --long`)",
         {{"source", text, "as in readings"},
          {"row", integer, "as in readings"},
          {"kind", text, "as in readings"},
          {"time", time, "as in readings", 1},
          {"instrument", text, "as in readings", 1},
          {"material", text, "as in readings"},
          {"sample", text, "as in readings"},
          {"line", text, "as in readings"},
          {"verdict", text, "as in readings"},
          {"constituent", text, "name of the constituent"},
          {"unit", text, "unit of the value"},
          {"part_of", text, "what the percentage is a share of", 1},
          {"basis", text, "basis of value", 1},
          {"value", number, "the converted value, excluded ones too; derived constituents from usable inputs; empty when it cannot be converted"},
          {"as_read", number, "the number as exported, in percent on its stated basis"},
          {"basis_as_read", text, "stated basis; as-is where none was stated", 1},
          {"mark", text, "use, review or exclude, from the findings about the value and those about sessions that mark it"},
          {"findings", text, "codes of these findings, sorted, joined by ;"},
          {"adjusted", text, "yes where the rules correct the value (`adjust`)", 1, "the rules adjust values"}}},
        {"findings", "one row per finding: of readings in order of source, row, constituent, code, then of sessions, samples, lines and files",
         {{"code", text, "what was found; `thresh explain CODE` says more"},
          {"severity", text, "note, review or exclude"},
          {"about", text, "value, reading, sample, line, session, column, file or decision", 1},
          {"source", text, "file or list where it stands"},
          {"row", integer, "physical line (sheet row)"},
          {"column", integer, "column of the sheet, from 1", 1},
          {"time", time, "of the reading, or start of the session", 1},
          {"instrument", text, "of the reading or session", 1},
          {"material", text, "of the reading", 1},
          {"sample", text, "sample concerned"},
          {"line", text, "line concerned", 1},
          {"constituent", text, "constituent concerned", 1},
          {"value", number, "the value that was judged, on the basis named; without a basis: as exported, of a sample the reading that `row` names", 1},
          {"low", number, "lower limit", 1},
          {"high", number, "upper limit", 1},
          {"basis", text, "basis of value, low and high", 1},
          {"message", text, "what was found, in words"},
          {"action", text,
           "what to do; `nothing to do: settled` where a decision or another reading settled the finding", 1}}},
        {"todo", "what the laboratory must do next, grouped by action, most urgent first; then by due date, location, material and sample",
         {{"action", text, "what to do"},
          {"due", text, "due date of the sample list"},
          {"location", text, "where the packet is, of the sample list"},
          {"material", text, "material", 1},
          {"sample", text, "sample; empty when the item is about a file, session or line"},
          {"line", text, "breeding line", 1},
          {"trial", text, "trial of the sample list", 1},
          {"reason", text, "codes of the findings behind it, sorted, joined by ;", 1},
          {"detail", text, "what was found and what exactly to do"},
          {"decides", text, "the decision about the line that hangs on it, with and without what is under review; of a session or a run of packets each with its line in front; items that decide something come first among their kind", 0, "--cut-off, --best"}}},
        {"drift", "one row per wavelength standard and instrument; control, instrument, calibration and constituent; session, material and key constituent; pair of instruments; dependence on moisture; precision found, of material and constituent",
         {{"kind", text, "standard, control, session, instruments, moisture or precision"},
          {"subject", text, "instrument and start of a session, control and instrument, or both instruments", 0, "printed for people"},
          {"instrument", text, "instrument", 1},
          {"against", text, "the instrument that it is compared with", 1},
          {"session", text, "session: instrument and start", 2},
          {"from", time, "first reading", 2},
          {"to", time, "last reading", 2},
          {"material", text, "material"},
          {"sample", text, "control sample", 1},
          {"calibration", text, "calibration; charts break where it changes", 1},
          {"constituent", text, "constituent, or the standard's peak"},
          {"unit", text, "unit of centre, SD, limits and offset", 2},
          {"basis", text, "moisture basis of the parts of the sample", 2},
          {"n", integer, "readings", 1},
          {"links", integer, "samples that the offset rests on: read in other sessions too, on both instruments, at different moistures; samples behind intermediate_sd", 1},
          {"centre", number, "target, or mean of the control's own readings", 1},
          {"centre_is", text, "target, or mean of the readings", 2},
          {"sd", number, "standard deviation that the limits are multiples of; of a standard, that of its readings", 1},
          {"sd_is", text, "given, from moving ranges, or of the readings", 2},
          {"warning_low", number, "warning limit", 2},
          {"warning_high", number, "warning limit", 2},
          {"action_low", number, "action limit, as widened to keep false alarms within their budget", 2},
          {"action_high", number, "action limit, as widened to keep false alarms within their budget", 2},
          {"mean", number, "mean of the readings", 2},
          {"offset", number, "mean less centre; of a session: against the other sessions of its instrument; of instruments: `instrument` less `against`; of moisture: change for each percent point of moisture"},
          {"offset_low", number, "lower end of its 95 % confidence interval", 2},
          {"offset_high", number, "upper end of its 95 % confidence interval", 2},
          {"repeatability_sd", number, "SD of readings of one sample within a session, pooled (ISO 5725-2); without samples of repeats-disagree", 1},
          {"repeatability_df", integer, "its degrees of freedom", 2},
          {"intermediate_sd", number, "SD of readings of one sample in different sessions of an instrument", 1},
          {"state", text, "good, warning, action, not judged; offset, no offset, not estimable; differ, no difference; depends, no dependence"},
          {"signals", text, "how many signals, the newest of them, and what else is to be said", 1},
          {"chart", text, "small chart: points between the action limits, triangles beyond; or an interval about 0", 0, "printed for people"}}},
        {"rejected", "one row per record that could not be understood, in order of source, sheet and row",
         {{"source", text, "file"},
          {"row", integer, "physical line (sheet row)"},
          {"reason", text, "why it could not become a reading"},
          {"record", text, "the record, word for word"}}},
        {"trace", "one row per reading behind one number of a line, plot by plot (`thresh trace`)",
         {{"material", text, "material as read"},
          {"constituent", text, "name of the constituent; a ratio is traced by its inputs"},
          {"plot", text, "environment, rep, block and plot; the sample where the list has no plots"},
          {"sample", text, "sample ID"},
          {"cell", text, "source:line:column of the cell, or source[sheet]!cell"},
          {"time", time, "time of reading"},
          {"verdict", text, "verdict of the reading"},
          {"mark", text, "mark of the value"},
          {"used", text, "yes when the value enters the mean, no otherwise"},
          {"as_read", number, "the number as exported"},
          {"basis_as_read", text, "stated basis; as-is where none was stated"},
          {"moisture", number, "moisture of the reading"},
          {"factor", number, "what the number is multiplied by; empty for derived constituents"},
          {"value", number, "the converted value"},
          {"sample_mean", number, "mean of the sample"},
          {"plot_mean", number, "mean of the plot"},
          {"findings", text, "findings about the reading and the value, and those about sessions that mark it"},
          {"adjustment", text, "how the rules correct the value: intercept + slope * value, its basis and its place in the rules; empty where they do not"}}},
        // clang-format on
    };
}

const ColumnDeclaration& find_declaration(std::string_view table, std::string_view column) {
    for (const TableDeclaration& declared : table_declarations())
        if (declared.name == table)
            for (const ColumnDeclaration& candidate : declared.columns)
                if (candidate.name == column)
                    return candidate;
    assert(false && "the column is declared");
    std::abort();
}

const char* type_name(ColumnType type) {
    static constexpr const char* kNames[] = {"text", "integer", "number", "time"};
    return kNames[static_cast<std::size_t>(type)];
}

} // namespace

const std::vector<TableDeclaration>& table_declarations() {
    static const std::vector<TableDeclaration> kDeclared = [] {
        std::vector<TableDeclaration> all = declare();
        for (TableDeclaration& table : breeding_tables())
            all.push_back(std::move(table));
        return all;
    }();
    return kDeclared;
}

std::vector<OutColumn> all_columns(std::string_view table) {
    std::vector<OutColumn> made;
    for (const TableDeclaration& declared : table_declarations())
        if (declared.name == table)
            for (const ColumnDeclaration& column : declared.columns)
                made.push_back(declared_column(table, column.name));
    return made;
}

OutColumn declared_column(std::string_view table, std::string_view column) {
    const ColumnDeclaration& declared = find_declaration(table, column);
    OutColumn made;
    made.name = declared.name;
    made.type = declared.type;
    made.description = declared.description;
    made.detail = declared.detail;
    made.decimals = declared.decimals;
    made.significant = declared.significant;
    made.path = made.name == "source";
    static constexpr std::string_view kSentences[] = {"action",  "advice", "decides", "detail",
                                                      "message", "note",   "notes",   "signals"};
    made.sentence =
        std::find(std::begin(kSentences), std::end(kSentences), made.name) != std::end(kSentences) ||
        (table == "picks" && column == "reason") ||
        ((table == "agreement" || table == "instruments") && column == "verdict"); // elsewhere it is a word
    return made;
}

OutColumn declared_column(std::string_view table, std::string_view column, ConstituentId id,
                          const ConstituentInfo& info) {
    OutColumn made = declared_column(table, column);
    made.name = replaced(made.name, info.name);
    made.description = replaced(made.description, info.title);
    made.constituent = id;
    if (made.type == ColumnType::number) {
        made.unit = info.unit;
        made.decimals = info.decimals;
    }
    return made;
}

std::string tables_as_markdown() {
    std::string text =
        "# Columns of the result tables\n\n"
        "Made from the program's own declarations; `{c}` stands for each constituent of the "
        "season, in table order.\nFiles are UTF-8, empty cells are missing values, times are "
        "as exported, without zone. Where the times of a column state different offsets from "
        "UTC, all are on the\noffset of its first row. In csv, text that a spreadsheet would "
        "take for a formula (it begins with = + - @ and is no number) has an apostrophe "
        "before it;\ntsv, json and ndjson hold it as it is. Bytes of a file's name that are no UTF-8 "
        "stand as U+FFFD.\n";
    for (const TableDeclaration& table : table_declarations()) {
        text += fmt::format("\n## {}\n\n{}.\n\n| column | type | holds |\n|---|---|---|\n", table.name,
                            table.rows);
        for (const ColumnDeclaration& column : table.columns)
            text += fmt::format("| `{}` | {} | {}{} |\n", column.name, type_name(column.type),
                                replaced(column.description, "the constituent"),
                                column.when.empty() ? "" : fmt::format(" (only when {})", column.when));
    }
    return text;
}

} // namespace thresh::summary

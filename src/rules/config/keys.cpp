// The table of rules-file keys, outer part. Order here is the order of schema, reference and `rules show`.
#include "rules/config/keys.hpp"

#include <algorithm>
#include <cassert>

namespace thresh::rules {

namespace {

const std::vector<std::string_view> kInOrOut = {"fixed", "random"};
constexpr Bounds kPositive = {.low = 0, .low_open = true};
constexpr Bounds kNotNegative = {.low = 0};
constexpr Bounds kPercent = {.low = 0, .high = 100};
constexpr Bounds kLevel = {.low = 0, .high = 50, .low_open = true};
constexpr Bounds kAtLeastOne = {.low = 1, .high = 1e6};

SectionKeys root_keys() {
    return {
        .name = "rules",
        .about = "The whole file. A file overlays the built-in rules key by key; null takes an entry out.",
        .keys =
            {
                {"$schema", Type::text, "", "Where an editor finds the JSON Schema; not read."},
                {"extends", Type::texts, "\"built-in\"",
                 "The rules this file overlays: `built-in` and other files (relative to this one), later "
                 "over "
                 "earlier; [] starts empty."},
                {"sample_id", Type::text, "",
                 "How sample IDs are built where no sample list is given: {trial}-{line}-{rep}. A "
                 "placeholder "
                 "matches no character that follows it."},
                {"check_characters",
                 Type::choice,
                 "\"none\"",
                 "Check character at the end of each sample ID.",
                 Section::none,
                 {"none", "mod37_36", "luhn", "damm", "verhoeff"}},
                {"columns", Type::section, "", "What the columns of exports mean.", Section::columns},
                {"materials", Type::section, "",
                 "Crop and presentation, with limits and precision; tried in order, first match wins.",
                 Section::materials},
                {"standard", Type::section, "", "The wavelength standard.", Section::standard},
                {"controls", Type::section, "", "Seed samples with assigned values, read again and again.",
                 Section::controls},
                {"ignore", Type::section, "",
                 "Readings that are neither seed nor standard nor control; any one field that matches is "
                 "enough.",
                 Section::when},
                {"traits", Type::section, "", "Formulas over constituents that become columns of their own.",
                 Section::traits},
                {"checks", Type::list, "", "Conditions over constituents that mark a reading.",
                 Section::check},
                {"below_limit",
                 Type::choice,
                 "\"omit\"",
                 "What a cell such as <0.05 counts for.",
                 Section::none,
                 {"omit", "zero", "half", "limit"}},
                {"few_samples",
                 Type::count,
                 "2",
                 "A line with fewer usable plots gets few-samples.",
                 Section::none,
                 {},
                 kNotNegative},
                {"session_gap_hours",
                 Type::number,
                 "4",
                 "A longer gap between readings of one instrument starts a new session.",
                 Section::none,
                 {},
                 kPositive},
                {"nitrogen_factor",
                 Type::number,
                 "6.25",
                 "Factor from nitrogen to protein of the calibrations.",
                 Section::none,
                 {},
                 {.low = 1, .high = 10}},
                {"dark_coats", Type::texts, "",
                 "Words of seed_coat in the sample list for coats that have to be ground before reading."},
                {"severity", Type::section, "", "Severity of findings by code.", Section::severities},
                {"charts", Type::section, "", "Charts of controls and standard.", Section::charts},
                {"tests", Type::section, "", "Rules that compare readings with each other.", Section::tests},
                {"trials", Type::section, "", "How trials are modelled.", Section::trials},
            },
        .has_source = false,
    };
}

SectionKeys column_keys(Section section) {
    if (section == Section::columns)
        return {.name = "columns",
                .about =
                    "By constituent, or by sample, instrument, operator, analysis, calibration, material, "
                    "time; or by a column of sample lists, decisions and reference results (line, trial, "
                    "plot, reason, method, ...). Headings "
                    "given here "
                    "come before the built-in ones.",
                .keys = {{"ignore", Type::texts, "", "Headings (patterns) to leave out without a word."}},
                .names = Names::column,
                .entry = {"", Type::section, "", "One column.", Section::column},
                .has_source = false};
    return {
        .name = "column",
        .about = "What one column of the exports means.",
        .keys = {{"headings", Type::texts, "",
                  "Headings (patterns) it stands under; none given: what follows holds for all columns of "
                  "the constituent."},
                 {"part_of",
                  Type::choice,
                  "",
                  "What the percentage is a share of.",
                  Section::none,
                  {"sample", "oil", "protein", "none"}},
                 {"basis", Type::basis, "", "Moisture basis, where the heading states none."},
                 {"unit", Type::text, "", "Unit, where the heading states none: %, g/kg, mg/g, g/100 g."}},
        .has_source = false};
}

SectionKeys own_keys(Section section) {
    switch (section) {
    case Section::traits:
        return {.name = "traits",
                .about = "By name: lower-case letters, digits and underscores; none that a column of the "
                         "tables has (line, protein_sd).",
                .names = Names::trait,
                .entry = {"", Type::section, "", "One trait.", Section::trait},
                .has_source = false};
    case Section::trait:
        return {.name = "trait",
                .about = "A number computed from the constituents of a reading.",
                .keys = {{"formula", Type::text, "", "Formula over constituent names: oil * 0.95; required."},
                         {"unit", Type::text, "\"%\"", "Unit of the result."},
                         {"title", Type::text, "", "Name for people; none given: the trait's name."},
                         {"decimals",
                          Type::count,
                          "2",
                          "Decimals for people.",
                          Section::none,
                          {},
                          {.low = 0, .high = 9}}}};
    case Section::check:
        return {.name = "check",
                .about = "A condition that marks the readings it holds for.",
                .keys = {{"name", Type::text, "", "Name; required and unique."},
                         {"when", Type::text, "", "Condition: oleic + linoleic < 60; required."},
                         {"severity", Type::severity, "", "Severity of the finding; none given: the code's."},
                         {"message", Type::text, "", "What to tell; none given: the condition."}},
                .identity = {"name"}};
    case Section::severities:
        return {.name = "severity",
                .about =
                    "By code of the finding. The option --severity and an entry's own severity are stronger.",
                .names = Names::code,
                .entry = {"", Type::severity, "", "Severity of this finding."},
                .has_source = false};
    case Section::tests:
        return {
            .name = "tests",
            .about = "Rules that compare readings with each other.",
            .keys = {
                {"repeats_percent",
                 Type::number,
                 "0.3",
                 "Chance in percent that good repeats disagree, over the key constituents; 5 would send one "
                 "good sample in twenty back to the instrument.",
                 Section::none,
                 {},
                 kLevel},
                {"repeats_own_sd",
                 Type::count,
                 "10",
                 "Samples read again before the season's own repeatability SD is used. A `repeatability_sd` "
                 "that a rules file gives goes before it.",
                 Section::none,
                 {},
                 {.low = 2, .high = 1e6}},
                {"outlier_percent",
                 Type::number,
                 "1",
                 "Chance in percent that a good line holds an outlier, over the key constituents.",
                 Section::none,
                 {},
                 kLevel},
                {"outlier_samples",
                 Type::count,
                 "6",
                 "Fewest samples of a line for outlier-in-line.",
                 Section::none,
                 {},
                 {.low = 3, .high = 1e6}},
                {"stuck_constituents",
                 Type::count,
                 "6",
                 "Constituents that must all repeat for stuck-reading to exclude.",
                 Section::none,
                 {},
                 kAtLeastOne},
                {"drift_percent",
                 Type::number,
                 "1",
                 "Chance in percent that a season without drift gets any session-offset; the same for "
                 "instruments-differ and moisture-dependence.",
                 Section::none,
                 {},
                 kLevel},
                {"id_reuse_days",
                 Type::number,
                 "60",
                 "One ID over more days: id-reused.",
                 Section::none,
                 {},
                 kPositive},
                {"flood_percent",
                 Type::number,
                 "20",
                 "A limit that more percent of a material's readings break becomes one finding about the "
                 "file.",
                 Section::none,
                 {},
                 kPercent}}};
    default:
        break;
    }
    return {
        .name = "trials",
        .about = "How trials are modelled (lines --trial-model).",
        .keys = {
            {"environment", Type::choice, "\"fixed\"", "Effect of the environment.", Section::none, kInOrOut},
            {"replicate", Type::choice, "\"random\"", "Effects of rep and block.", Section::none, kInOrOut},
            {"line_by_environment",
             Type::choice,
             "\"auto\"",
             "Line by environment: auto (random when replicated), random, none.",
             Section::none,
             {"auto", "random", "none"}},
            {"level_percent",
             Type::number,
             "5",
             "Level of intervals, LSD and Dunnett's test, in percent.",
             Section::none,
             {},
             kLevel}}};
}

SectionKeys make(Section section) {
    switch (section) {
    case Section::none:
    case Section::kCount:
        return {};
    case Section::root:
        return root_keys();
    case Section::columns:
    case Section::column:
        return column_keys(section);
    case Section::standard:
    case Section::controls:
    case Section::control:
    case Section::target:
    case Section::charts:
        return instrument_keys(section);
    case Section::traits:
    case Section::trait:
    case Section::check:
    case Section::severities:
    case Section::tests:
    case Section::trials:
        return own_keys(section);
    default:
        return material_keys(section);
    }
}

} // namespace

const Key* SectionKeys::find(std::string_view name_of_key) const {
    const auto found =
        std::find_if(keys.begin(), keys.end(), [&](const Key& key) { return key.name == name_of_key; });
    return found == keys.end() ? nullptr : &*found;
}

const SectionKeys& keys_of(Section section) {
    static const std::vector<SectionKeys> kTable = [] {
        std::vector<SectionKeys> table;
        for (std::size_t i = 0; i < static_cast<std::size_t>(Section::kCount); ++i) {
            table.push_back(make(static_cast<Section>(i)));
            if (i > 0 && table.back().has_source)
                table.back().keys.push_back(
                    {"source", Type::text, "", "Literature or practice behind the values of this object."});
        }
        return table;
    }();
    assert(section < Section::kCount);
    return kTable[static_cast<std::size_t>(section)];
}

std::string_view to_text(Type type) {
    switch (type) {
    case Type::text:
        return "a text";
    case Type::number:
        return "a number";
    case Type::count:
        return "a whole number";
    case Type::flag:
        return "true or false";
    case Type::choice:
        return "one of a few words";
    case Type::basis:
        return "a basis: \"as-is\", \"dry\" or percent moisture";
    case Type::severity:
        return "a severity: \"off\", \"note\", \"review\" or \"exclude\"";
    case Type::time:
        return "a date or time: \"2026-08-03\" or \"2026-08-03T07:41\"";
    case Type::texts:
        return "a text or a list of texts";
    case Type::constituents:
        return "a constituent or a list of them";
    case Type::section:
        return "an object";
    case Type::list:
        return "a list of objects";
    case Type::one_or_more:
        break;
    }
    return "an object or a list of objects";
}

std::string_view to_text(Names names) {
    switch (names) {
    case Names::none:
        return "";
    case Names::constituent:
        return "CONSTITUENT";
    case Names::column:
        return "COLUMN";
    case Names::code:
        return "CODE";
    case Names::material:
        return "MATERIAL";
    case Names::sample:
        return "SAMPLE";
    case Names::trait:
        break;
    }
    return "TRAIT";
}

} // namespace thresh::rules

// The table of rules-file keys, the part about materials.
#include "rules/config/keys.hpp"

namespace thresh::rules {

namespace {

constexpr Bounds kPositive = {.low = 0, .low_open = true};
constexpr Bounds kNotNegative = {.low = 0};

Key range_of(std::string_view name, std::string_view about) {
    return {name, Type::section, "", about, Section::sum};
}

std::vector<Key> keys_of_material() {
    return {
        {"like", Type::text, "",
         "Another material whose entries hold here unless given; its `when` does not."},
        {"when", Type::section, "", "Which readings are of this material.", Section::when},
        {"basis", Type::basis, "\"dry\"", "Moisture basis of the results."},
        {"moisture_window", Type::section, "", "Moisture at which the calibration holds.", Section::window},
        {"expected", Type::section, "", "Where values usually lie: beyond, below-expected or above-expected.",
         Section::ranges},
        {"possible", Type::section, "", "Where values can lie at all: beyond, impossible-value.",
         Section::ranges},
        {"calibrated", Type::section, "", "What the calibration has seen: beyond, outside-calibration.",
         Section::calibrated},
        {"repeatability_sd", Type::section, "",
         "Repeatability standard deviation by constituent, within a session: of shares of the sample on dry "
         "basis, whatever basis results are on; of moisture and parts of oil and protein as read.",
         Section::percents},
        {"sep", Type::section, "", "Standard error of prediction by constituent.", Section::percents},
        {"plot_sd", Type::section, "",
         "Standard deviation between plots of a line in one environment, without reading error, by "
         "constituent, on the basis of `repeatability_sd`: where both are given, plots of a trial weigh by "
         "these known variances, not equally.",
         Section::percents},
        {"key", Type::constituents, "", "Constituents that repeats and outliers are judged by."},
        {"sums", Type::section, "", "Sums that have to close: beyond, sum-off.", Section::sums},
        {"adjust", Type::section, "", "Corrections from a comparison with wet chemistry, by constituent.",
         Section::adjustments},
        {"prefer",
         Type::choice,
         "",
         "Which reading stands when a sample was read both ways.",
         Section::none,
         {"whole", "ground"}},
    };
}

SectionKeys condition_keys() {
    return {.name = "when",
            .about = "Every field that is given must match; several patterns of one field are alternatives. "
                     "Patterns: * any run, ? any character, the whole cell, case ignored.",
            .keys = {{"analysis", Type::texts, "", "Name under which the instrument ran the reading."},
                     {"sample", Type::texts, "", "Sample ID."},
                     {"source", Type::texts, "", "Export file, as given with the path below it."},
                     {"instrument", Type::texts, "", "Instrument."},
                     {"calibration", Type::texts, "", "Calibration."},
                     {"material", Type::texts, "", "Text of a material column."},
                     {"from", Type::time, "", "First day or time, inclusive."},
                     {"to", Type::time, "", "Last day or time, inclusive; a day means the whole day."}},
            .has_source = false};
}

SectionKeys range_keys() {
    return {.name = "range",
            .about =
                "Bounds of one constituent, inclusive. In a list one range for each oil type and part; a "
                "range without an oil type holds where no other matches.",
            .keys = {{"low", Type::number, "", "Lowest value; none given: open."},
                     {"high", Type::number, "", "Highest value; none given: open."},
                     {"basis", Type::basis, "\"as-is\"",
                      "Moisture basis of the bounds; parts of oil and protein have none."},
                     {"part_of",
                      Type::choice,
                      "",
                      "Holds for columns that state this part; none given: the constituent's usual one.",
                      Section::none,
                      {"sample", "oil", "protein"}},
                     {"oil_type", Type::text, "", "Oil type of the sample list it holds for."},
                     {"severity", Type::severity, "", "Severity of the finding; none given: the code's."}},
            .identity = {"oil_type", "part_of"}};
}

SectionKeys sums_keys() {
    return {.name = "sums",
            .about = "Sums that have to close.",
            .keys = {range_of("fatty_acids", "All eleven fatty acids, % of oil."),
                     range_of("main_fatty_acids",
                              "Where only 16:0, 18:0, 18:1, 18:2 and perhaps 18:3 are read, % of oil."),
                     range_of("proximates", "Moisture + protein + oil + ash, as-is."),
                     range_of("closure", "Proximates + fiber + starch + sugars, as-is."),
                     range_of("sugars", "Sum of the single sugars minus total sugars, as-is."),
                     range_of("amino_acids", "Sum of the amino acids / protein, a ratio.")}};
}

SectionKeys sum_keys() {
    return {.name = "sum",
            .about = "Bounds of one sum, inclusive.",
            .keys = {{"low", Type::number, "", "Below: sum-off."},
                     {"high", Type::number, "", "Above: sum-off."},
                     {"note_low", Type::number, "", "Below: at most a note."},
                     {"note_high", Type::number, "", "Above: at most a note."}}};
}

SectionKeys adjustment_keys() {
    return {
        .name = "adjustment",
        .about =
            "Value used = intercept + slope * value read. The first that fits holds, never two; one that "
            "gives neither leaves the value as read and keeps others away. Findings stay about values as "
            "read.",
        .keys = {{"instrument", Type::text, "\"*\"", "Instruments (pattern) it holds for."},
                 {"oil_type", Type::text, "", "Oil type of the sample list it holds for; any where absent."},
                 {"intercept", Type::number, "0", "Intercept."},
                 {"slope", Type::number, "1", "Slope.", Section::none, {}, kPositive},
                 {"basis", Type::basis, "\"as-is\"", "Moisture basis it was found on."},
                 {"from", Type::time, "", "First day or time, inclusive."},
                 {"to", Type::time, "", "Last day or time, inclusive."}},
        .identity = {"instrument", "oil_type", "from"}};
}

} // namespace

SectionKeys material_keys(Section section) {
    switch (section) {
    case Section::materials:
        return {.name = "materials",
                .about = "By name: crop-presentation, such as soybean-whole.",
                .names = Names::material,
                .entry = {"", Type::section, "", "One material.", Section::material},
                .has_source = false};
    case Section::material:
        return {.name = "material",
                .about =
                    "Limits and precision of one material. A material that the base knows is overlaid key by "
                    "key.",
                .keys = keys_of_material()};
    case Section::when:
        return condition_keys();
    case Section::window:
        return {
            .name = "moisture_window",
            .about = "Moisture as read, inclusive: beyond, moisture-low or moisture-high.",
            .keys = {
                {"low", Type::number, "", "Lowest moisture.", Section::none, {}, {.low = 0, .high = 100}},
                {"high", Type::number, "", "Highest moisture.", Section::none, {}, {.low = 0, .high = 100}},
                {"margin",
                 Type::number,
                 "0",
                 "Within it beyond a bound: review.",
                 Section::none,
                 {},
                 kNotNegative}}};
    case Section::ranges:
        return {.name = "ranges",
                .about =
                    "By constituent. A computed value (a derived constituent, a ratio, a trait) has none "
                    "unless `columns` names a heading that holds it: judge it by `checks`.",
                .names = Names::constituent,
                .entry = {"", Type::one_or_more, "", "One range; a list for several oil types or parts.",
                          Section::range}};
    case Section::range:
        return range_keys();
    case Section::calibrated:
        return {
            .name = "calibrated",
            .about = "By constituent.",
            .keys = {{"distance",
                      Type::number,
                      "",
                      "Greatest calibration_distance. A neighbor_distance is on another scale: limit it by a "
                      "check of your own.",
                      Section::none,
                      {},
                      kPositive}},
            .names = Names::constituent,
            .entry = {"", Type::one_or_more, "", "One range; a list for several oil types or parts.",
                      Section::range}};
    case Section::percents:
        return {.name = "percents",
                .about = "By constituent, in the constituent's unit.",
                .names = Names::constituent,
                .entry = {"", Type::number, "", "Standard deviation.", Section::none, {}, kPositive}};
    case Section::sums:
        return sums_keys();
    case Section::sum:
        return sum_keys();
    case Section::adjustments:
        return {.name = "adjust",
                .about = "By constituent.",
                .names = Names::constituent,
                .entry = {"", Type::one_or_more, "",
                          "One correction; a list for several instruments or dates.", Section::adjustment}};
    default:
        return adjustment_keys();
    }
}

} // namespace thresh::rules

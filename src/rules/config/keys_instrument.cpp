// The table of rules-file keys, the part about standard, controls and charts.
#include "rules/config/keys.hpp"

namespace thresh::rules {

namespace {

constexpr Bounds kPositive = {.low = 0, .low_open = true};
constexpr Bounds kNotNegative = {.low = 0};

} // namespace

SectionKeys instrument_keys(Section section) {
    switch (section) {
    case Section::standard:
        return {
            .name = "standard",
            .about = "The wavelength standard: which readings are of it, and what its peak must be.",
            .keys = {
                {"when", Type::section, "", "Which readings are of the standard.", Section::when},
                {"column", Type::constituents, "\"peak\"", "The column that holds the peak."},
                {"target", Type::number, "1143.6", "Where the peak belongs.", Section::none, {}, kPositive},
                {"review",
                 Type::number,
                 "0.5",
                 "Farther from the target: review.",
                 Section::none,
                 {},
                 kNotNegative},
                {"exclude",
                 Type::number,
                 "1.0",
                 "Farther from the target: exclude.",
                 Section::none,
                 {},
                 kNotNegative},
                {"unit", Type::text, "\"nm\"", "Unit of target and tolerances."},
                {"required",
                 Type::choice,
                 "\"auto\"",
                 "Whether a session needs a reading of the standard before its first sample; auto: only "
                 "if the exports hold any.",
                 Section::none,
                 {"auto", "always", "never"}}}};
    case Section::controls:
        return {.name = "controls",
                .about = "By sample ID (pattern); tried in order, first match wins.",
                .names = Names::sample,
                .entry = {"", Type::one_or_more, "",
                          "One control; a list for several instruments or materials.", Section::control},
                .has_source = false};
    case Section::control:
        return {.name = "control",
                .about = "One control seed: assigned values by constituent.",
                .keys = {{"instrument", Type::text, "\"*\"", "Instruments (pattern) the values hold for."},
                         {"material", Type::text, "", "Material it is read as; none given: any."}},
                .names = Names::constituent,
                .entry = {"", Type::section, "", "Assigned value.", Section::target},
                .identity = {"instrument", "material"}};
    case Section::target:
        return {.name = "target",
                .about = "Assigned value of one constituent.",
                .keys = {{"target", Type::number, "", "Assigned value; required."},
                         {"sd",
                          Type::number,
                          "",
                          "Standard deviation of single readings; none given: estimated.",
                          Section::none,
                          {},
                          kPositive},
                         {"basis", Type::basis, "\"as-is\"", "Moisture basis of value and SD."}}};
    default:
        break;
    }
    return {
        .name = "charts",
        .about = "Limits in standard deviations of the control.",
        .keys = {
            {"warning", Type::number, "2", "Warning limit.", Section::none, {}, kPositive},
            {"action", Type::number, "3", "Action limit.", Section::none, {}, kPositive},
            {"western_electric", Type::flag, "false",
             "Also warn of 2 of 3 beyond 2 SD, 4 of 5 beyond 1 SD, 8 in a row on one side (no action: they "
             "alarm too often for that)."},
            {"cusum", Type::flag, "true", "Cumulative sum, for small lasting shifts."},
            {"cusum_k",
             Type::number,
             "0.5",
             "Allowance of the cumulative sum.",
             Section::none,
             {},
             kPositive},
            {"cusum_h",
             Type::number,
             "5",
             "Decision interval of the cumulative sum.",
             Section::none,
             {},
             kPositive},
            {"ewma", Type::flag, "false", "Exponentially weighted moving average."},
            {"ewma_lambda",
             Type::number,
             "0.2",
             "Weight of the newest reading.",
             Section::none,
             {},
             {.low = 0, .high = 1, .low_open = true}},
            {"ewma_limit", Type::number, "3", "Limit of the moving average.", Section::none, {}, kPositive},
            {"estimate_from",
             Type::count,
             "20",
             "Readings needed before centre or SD is estimated from the control itself.",
             Section::none,
             {},
             {.low = 2, .high = 1e6}}}};
}

} // namespace thresh::rules

// How every number was computed, with sources and the rules in force; then the cautions.
#include "report/page/parts.hpp"

#include <fmt/format.h>

namespace thresh::report {

namespace {

struct Formula {
    std::string_view what, formula, source;
};

constexpr Formula kFormulas[] = {
    {"Moisture basis", "y at T % moisture = x at M % moisture \u00d7 (100 \u2212 T) / (100 \u2212 M)",
     "mass balance of dry matter; M is the reading's own moisture, and values are converted before they are "
     "averaged. Shares of oil and of protein, ratios and indices are not converted"},
    {"Means", "sample = mean of its usable readings; plot = mean of its samples; line = mean of its plots",
     "each counted once, so that a plot read more often does not weigh more"},
    {"Spread", "SD over the plots' means, divisor n \u2212 1; SE = SD / \u221an", "n = 1 has neither"},
    {"Critical range of repeats", "largest less smallest reading of a session against f(n) \u00d7 s(r)",
     "ISO 5725-6; f is the quantile of the range of n normal values, s(r) the repeatability SD"},
    {"Control chart", "centre \u00b1 2 SD warning, \u00b1 3 SD action",
     "Shewhart individuals chart; SD as given, or mean moving range / 1.128"},
    {"CUSUM", "S(high) = max(0, S + (x \u2212 target) \u2212 k SD), signal above h SD; S(low) alike",
     "tabular CUSUM, NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.3"},
    {"Session offset",
     "value = sample + (this session's offset) + error, over samples read in other sessions too",
     "two-way layout, t test; the level is shared by all tests of the season"},
    {"Drying", "mass to stop at = mass today \u00d7 (100 \u2212 M today) / (100 \u2212 M aimed at)",
     "mass balance of dry matter; aimed at is the middle of the moisture window"},
};

constexpr Formula kAgreement[] = {
    {"Bias", "mean of (NIR \u2212 reference); limits \u00b1 t(0.975, n \u2212 1) SEP / \u221an",
     "ISO 12099:2017, clause 7"},
    {"SEP, RMSEP", "SEP: SD of the differences, divisor n \u2212 1; RMSEP: root of their mean square",
     "ISO 12099:2017, clause 7"},
    {"Slope", "regression of reference on NIR, tested against 1; RPD = SD of the reference / SEP",
     "ISO 12099:2017, clause 7; AACC 39-01.01"},
};

void write_formulas(PageContext& context) {
    Html& html = context.html;
    html.element("h3", "Formulas");
    TableWriter table(html, "Formulas and their sources", {{"What"}, {"How"}, {"Source, and what to know"}},
                      {.sortable = false});
    const auto write = [&](std::string_view what, std::string_view formula, std::string_view source) {
        const auto row = table.row();
        table.heading(what);
        {
            const auto cell = html.open("td");
            html.element("code", formula);
        }
        table.text(source);
    };
    for (const Formula& formula : kFormulas)
        write(formula.what, formula.formula, formula.source);
    if (context.season.has_reference)
        for (const Formula& formula : kAgreement)
            write(formula.what, formula.formula, formula.source);
    for (const auto& [what, formula, source] : context.season.formulas)
        write(what, formula, source);
}

void write_rules(PageContext& context) {
    Html& html = context.html;
    html.element("h3", "Rules in force");
    {
        const auto list = html.open("ul");
        for (const std::string& sentence : context.season.settings)
            html.element("li", sentence);
    }
    for (const page::MaterialRules& rules : context.season.rules) {
        if (!context.room(2000))
            break;
        html.element("h4", rules.name);
        html.element(
            "p", fmt::format("Results on basis: {}. Moisture window: {}. Judged by repeats and outliers: {}.",
                             rules.basis, rules.window, rules.key.empty() ? "none" : rules.key));
        if (rules.ranges.empty())
            continue;
        const auto details = html.open("details");
        html.element("summary", "Ranges of " + rules.name);
        TableWriter table(html, fmt::format("Ranges of {}", rules.name),
                          {{"Constituent"}, {"Range"}, {"Limits, inclusive"}, {"Where from"}});
        for (const auto& [constituent, what, limits, origin] : rules.ranges) {
            if (!context.room())
                break;
            const auto row = table.row();
            table.heading(constituent);
            table.text(what);
            table.text(limits);
            table.text(origin);
        }
    }
    constexpr std::size_t kMostRules = 150'000;
    if (context.facts.rules.empty())
        return;
    if (!context.room(2 * std::min(kMostRules, context.facts.rules.size()))) {
        html.element("p",
                     "The whole text of the rules stands in run.json, and `thresh rules show` writes it.");
        return;
    }
    const auto details = html.open("details");
    html.element("summary", "The rules in force, whole, with where each entry came from");
    const auto box = html.open("pre", {{"tabindex", "0"}});
    html.lines(shortened(context.facts.rules, kMostRules));
}

} // namespace

void write_method(PageContext& context) {
    const auto section = open_section(context.html, "method", "How everything was computed");
    write_formulas(context);
    write_rules(context);
    context.html.element(
        "p", "Every number leads back to its file and row: `thresh trace` shows each cell, factor and step "
             "behind one mean, and `thresh explain` what a finding means.");
}

void write_cautions(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "cautions", "Cautions");
    const auto list = html.open("ul");
    for (const std::string_view caution :
         {"For breeding and selection only. Not an official analysis, and not for trade settlement, "
          "labelling or "
          "nutrition claims; those need authorised inspection with approved instruments and methods.",
          "NIR composition is no test for aflatoxin or other toxins, allergens, pesticides, pathogens, "
          "genetic "
          "events or germination. A good composition says nothing about whether seed is safe to eat or feed.",
          "Grinding makes dust that can explode and can sensitise: extract it, keep ignition away, protect "
          "lungs, "
          "eyes and ears. Treated seed is not ground, and does not go back to food or feed.",
          "Peanut and soybean are allergens: keep separate or clean tools, and label shared benches.",
          "Seed for planting is dried in cool moving air (below about 40 C, common practice); heat that does "
          "not "
          "show in the composition can kill the germ.",
          "A prediction outside its calibration, or at the wrong moisture, is not a measurement. Keep the "
          "exports; "
          "they are never changed.",
          "Local codes, your institution's safety officer and licensed practice go before this page."})
        html.element("li", caution);
}

} // namespace thresh::report

// Sentences about the arithmetic stand here once; what depends on the season is read from rules, recipes and
// findings, so that the words cannot say something else than the program does.
#include <thresh/summary/how.hpp>

#include "summary/reading_values.hpp"

#include <thresh/basis/derived.hpp>
#include <thresh/summary/overview.hpp>
#include <thresh/summary/sample_means.hpp>

#include <fmt/format.h>
#include <map>

namespace thresh::summary {

namespace {

HowSection rows_of(const Season& season) {
    HowSection section{"What became of the rows", {}};
    const Accounting::Counts total = account(season).total;
    const std::pair<const char*, std::pair<std::size_t, const char*>> kinds[] = {
        {"rows", {total.rows, "records below the headings of all exports"}},
        {"use", {total.use, "readings used as they are"}},
        {"review", {total.review, "readings used, and to be looked at"}},
        {"exclude", {total.exclude, "readings left out"}},
        {"superseded", {total.superseded, "readings that a later one replaces; left out"}},
        {"standard", {total.standard, "readings of the wavelength standard"}},
        {"control", {total.control, "readings of control samples"}},
        {"repeated", {total.repeated, "readings exported before, counted once"}},
        {"ignored", {total.ignored, "readings that the rules ignore"}},
        {"outside_selection", {total.outside_selection, "readings outside --from, --to or --material"}},
        {"rejected",
         {total.rejected, "records that could not be understood; rejected.csv holds them word for word"}},
        {"not_a_reading",
         {total.not_a_reading, "units rows, repeated headings, summaries, text between tables"}}};
    for (const auto& [word, about] : kinds)
        section.entries.push_back({word, fmt::format("{}: {}", about.first, about.second), ""});
    return section;
}

HowSection numbers() {
    return {
        "How numbers are computed",
        {{"moisture basis",
          "y_T = x_M * (100 - T) / (100 - M): each value is converted with the moisture M of its own "
          "reading, "
          "then averaged; T = 0 is dry. Parts of oil or protein, ratios and moisture itself are never "
          "converted",
          "mass balance of dry matter"},
         {"sample", "arithmetic mean of the usable values of its readings", "common practice"},
         {"plot", "mean of its samples", "common practice"},
         {"line",
          "mean of its plots (of its samples where the list has no plots), each counted once: n. SD over "
          "them "
          "with n - 1, SE = SD / sqrt(n); n = 1 leaves SD and SE empty",
          "common practice"},
         {"quoted value",
          "mean of a sample's readings in order of time, or their median, by the critical range f(n) * s_r",
          "ISO 5725-6, 5.2.2"},
         {"provisional mean",
          "of a line all of whose readings are excluded: shown as text with ~, so that no formula counts it, "
          "and missing in the csv files",
          "common practice"},
         {"limits and verdicts",
          "every limit is inclusive and held against the value on the limit's own basis. Values marked "
          "exclude and "
          "readings with verdict exclude or superseded enter no mean; review enters and is marked",
          ""},
         {"rounding",
          "once, on output: nearest, ties to even. Cells hold what the csv files hold, and show each "
          "constituent's own decimals",
          "common practice"}}};
}

HowSection derived(const Season& season, const SampleMeans& means) {
    HowSection section{"Derived constituents and traits", {}};
    for (const ConstituentId id : means.constituents()) {
        const ConstituentInfo& info = season.rules.constituents[id];
        for (const basis::Recipe& recipe : basis::recipes())
            if (recipe.id == id)
                section.entries.push_back({info.name, recipe.formula, recipe.source});
        for (const rules::TraitFormula& trait : season.rules.traits)
            if (trait.id == id)
                section.entries.push_back(
                    {info.name, trait.formula, fmt::format("{}:{}", trait.origin.where, trait.origin.line)});
    }
    return section;
}

std::string place(const rules::Origin& origin) {
    if (origin.line > 0)
        return fmt::format("{}:{}", origin.where, origin.line);
    return origin.source.empty() ? origin.where : fmt::format("{}, {}", origin.where, origin.source);
}

HowSection materials(const Season& season) {
    HowSection section{"Materials read", {}};
    std::vector<std::size_t> readings(256);
    for (RowId row = 0; row < season.batch.kind.size(); ++row)
        readings[season.batch.material[row]] += season.batch.kind[row] == Kind::seed ? 1U : 0U;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        if (readings[i] == 0)
            continue;
        const auto index = static_cast<std::uint8_t>(i);
        const rules::Material* material = season.rules.material(index);
        if (material == nullptr) {
            section.entries.push_back(
                {i < season.batch.material_names.size() ? season.batch.material_names[i] : "unknown",
                 fmt::format("{} readings; no rules apply to them", readings[i]), ""});
            continue;
        }
        const std::string basis = to_text(season.rules.wanted_basis(index));
        const bool percent = !basis.empty() && basis.front() >= '0' && basis.front() <= '9';
        std::string text =
            fmt::format("{} {}; results on {}{} basis", readings[i],
                        readings[i] == 1 ? "reading" : "readings", basis, percent ? " % moisture" : "");
        if (material->window.low || material->window.high)
            text += fmt::format("; accepted at {} to {} % moisture as read",
                                material->window.low ? fmt::format("{}", *material->window.low) : "-",
                                material->window.high ? fmt::format("{}", *material->window.high) : "-");
        section.entries.push_back({material->name, std::move(text), place(material->window.origin)});
    }
    return section;
}

HowSection findings(const Season& season) {
    HowSection section{"Findings of this season", {}};
    std::map<std::uint16_t, std::size_t> counts;
    for (const Finding& finding : season.judgement.findings)
        if (finding.severity != Severity::off)
            ++counts[finding.code];
    for (const auto& [code, count] : counts) {
        const rules::Declaration& declared = rules::catalogue()[code];
        section.entries.push_back(
            {std::string(declared.code),
             fmt::format("{} found: {}; to do: {}", count, declared.title, declared.what_to_do),
             std::string(declared.limit)});
    }
    return section;
}

HowSection assumptions(const Season& season) {
    HowSection section{"What had to be assumed", {}};
    for (const Overview::Assumption& assumed : overview(season, false).assumptions)
        section.entries.push_back(
            {assumed.code,
             fmt::format("{}{}", assumed.message, assumed.help.empty() ? "" : "; " + assumed.help),
             assumed.places > 1 ? fmt::format("{} and {} more", assumed.first_place, assumed.places - 1)
                                : assumed.first_place});
    return section;
}

} // namespace

HowSection cautions() {
    return {
        "Cautions",
        {{"use",
          "For breeding and selection. Not an official analysis, and not for trade settlement, labelling or "
          "nutrition claims: those need authorised inspection with approved instruments and methods",
          ""},
         {"not tested",
          "NIR composition does not test for aflatoxin or other toxins, allergens, pesticides, pathogens, "
          "genetic "
          "events or germination. A good composition says nothing about whether seed is safe to eat or feed",
          ""},
         {"dust",
          "Seed dust can explode and can sensitise: extract it, keep ignition away, protect lungs and ears. "
          "Treated seed is not ground, and does not go back to food or feed",
          "common practice"},
         {"allergens",
          "Peanut and soybean are allergens: keep separate or clean tools, and label shared benches",
          "common practice"},
         {"drying", "Seed meant for planting is conditioned in cool moving air, below about 40 C",
          "common practice"},
         {"flags",
          "A prediction outside the range of its calibration, or one read at the wrong moisture, is not a "
          "measurement. Keep the exports",
          ""},
         {"local rules",
          "Where local rules and codes, your institution's safety officer or a licensed professional say "
          "otherwise, follow them, not this workbook",
          ""}}};
}

std::vector<HowSection> how_computed(const Season& season, const SampleMeans& means) {
    std::vector<HowSection> sections;
    for (HowSection& section :
         std::vector<HowSection>{cautions(), rows_of(season), numbers(), derived(season, means),
                                 materials(season), findings(season), assumptions(season)})
        if (!section.entries.empty())
            sections.push_back(std::move(section));
    return sections;
}

} // namespace thresh::summary

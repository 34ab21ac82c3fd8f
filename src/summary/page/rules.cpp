// The rules in force, of the materials that were read, and the settings that shape every number.
#include "summary/page/parts.hpp"

#include "summary/material_order.hpp"

#include <thresh/basis/derived.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

std::string limits_text(std::optional<double> low, std::optional<double> high) {
    if (low && high)
        return fmt::format("{} to {}", *low, *high);
    if (low)
        return fmt::format("{} and more", *low);
    return high ? fmt::format("up to {}", *high) : "no limit";
}

std::string origin_text(const rules::Origin& origin) {
    std::string text = origin.where;
    if (origin.line > 0)
        text += fmt::format(":{}", origin.line);
    if (!origin.source.empty())
        text += ", " + origin.source;
    return text;
}

void add_ranges(const Season& season, const char* what, const rules::Ranges& ranges,
                const std::vector<ConstituentId>& known, page::MaterialRules& into) {
    for (const auto& [id, all] : ranges) {
        if (std::find(known.begin(), known.end(), id) == known.end())
            continue;
        const ConstituentInfo& info = season.rules.constituents[id];
        for (const rules::Range& range : all) {
            std::string text = limits_text(range.low, range.high);
            if (!info.unit.empty())
                text += " " + info.unit;
            if (range.part_of == PartOf::sample && id != constituent::moisture)
                text += fmt::format(", basis {}", to_text(range.basis));
            else if (range.part_of == PartOf::oil || range.part_of == PartOf::protein)
                text += fmt::format(" of {}", part_text(range.part_of));
            if (!range.oil_type.empty())
                text += fmt::format(", oil type {}", range.oil_type);
            into.ranges.push_back({info.title, what, text, origin_text(range.origin)});
        }
    }
}

void add_materials(const Season& season, const SampleMeans& means, SeasonPage& page) {
    std::array<bool, 256> read{};
    for (const auto group : means.list_groups())
        read[group.material] = true;
    for (unsigned i = 0; i < 256; ++i) {
        const auto index = static_cast<std::uint8_t>(i);
        const rules::Material* about = season.rules.material(index);
        if (!read[i] || about == nullptr)
            continue;
        page::MaterialRules made;
        made.name = about->name;
        made.basis = to_text(season.rules.wanted_basis(index));
        made.window = about->window.low || about->window.high
                          ? limits_text(about->window.low, about->window.high) + " %"
                          : "none";
        if (about->window.margin > 0)
            made.window += fmt::format(", within {} beyond it: review", about->window.margin);
        std::vector<std::string> key;
        for (const ConstituentId id : about->key)
            key.push_back(season.rules.constituents[id].title);
        made.key = few_names(key, key.size());
        add_ranges(season, "expected", about->expected, means.constituents(), made);
        add_ranges(season, "possible", about->possible, means.constituents(), made);
        add_ranges(season, "calibrated", about->calibrated, means.constituents(), made);
        page.rules.push_back(std::move(made));
    }
    std::sort(page.rules.begin(), page.rules.end(),
              [](const auto& a, const auto& b) { return a.name < b.name; });
}

} // namespace

void add_page_rules(const Season& season, const SampleMeans& means, SeasonPage& page) {
    const rules::Ruleset& rules = season.rules;
    add_materials(season, means, page);
    page.settings = {
        fmt::format("Readings of one instrument form a session as long as no gap exceeds {} h.",
                    rules.batch.session_gap_hours),
        fmt::format(
            "Controls: warning beyond {} SD, action beyond {} SD{}{}; centre or SD are estimated from "
            "the control itself from {} readings on.",
            rules.charts.warning, rules.charts.action,
            rules.charts.cusum
                ? fmt::format(", CUSUM (k = {}, h = {} SD)", rules.charts.cusum_k, rules.charts.cusum_h)
                : "",
            rules.charts.ewma ? fmt::format(", EWMA (lambda = {}, L = {})", rules.charts.ewma_lambda,
                                            rules.charts.ewma_limit)
                              : "",
            rules.charts.estimate_from),
        fmt::format("Repeats disagree with a chance of {} % when they are good, over the key constituents.",
                    rules.tests.repeats_percent),
        fmt::format("Drift is called with a chance of {} % in a season without drift.",
                    rules.tests.drift_percent),
        fmt::format("Protein is nitrogen x {}.", rules.nitrogen_factor),
        fmt::format("A line needs {} usable plots before its mean is taken without a remark.",
                    rules.few_samples)};
    for (const basis::Recipe& recipe : basis::recipes())
        if (std::find(means.constituents().begin(), means.constituents().end(), recipe.id) !=
            means.constituents().end())
            page.formulas.push_back({rules.constituents[recipe.id].title, recipe.formula, recipe.source});
    for (const rules::TraitFormula& trait : rules.traits)
        if (std::find(means.constituents().begin(), means.constituents().end(), trait.id) !=
            means.constituents().end())
            page.formulas.push_back({trait.name, trait.formula, origin_text(trait.origin)});
}

} // namespace thresh::summary

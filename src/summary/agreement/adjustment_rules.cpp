// The snippet holds numbers with all their digits, so that the corrected values are those that the verdict
// speaks of. Corrections are never stacked: values that are adjusted already cannot be the ground of another.
// Where moisture is corrected, values come to their basis by another moisture than in the comparison: the
// other constituents are compared once more with that.
#include "summary/adjuster.hpp"
#include "summary/agreement/corrections.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

std::string in_quotes(std::string_view text) {
    std::string made = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\')
            made += '\\';
        made += c;
    }
    return made + '"';
}

std::string basis_json(Basis basis) {
    const bool number = basis.kind == Basis::Kind::fixed && basis.percent != 0;
    return number ? to_text(basis) : in_quotes(to_text(basis));
}

std::string entry_json(const rules::Adjustment& entry) {
    std::string text = fmt::format("{{ \"instrument\": {}", in_quotes(entry.instrument));
    if (!entry.oil_type.empty())
        text += fmt::format(", \"oil_type\": {}", in_quotes(entry.oil_type));
    text += fmt::format(", \"intercept\": {}, \"slope\": {}, \"basis\": {}", entry.intercept, entry.slope,
                        basis_json(entry.basis));
    if (!entry.from.missing())
        text += fmt::format(", \"from\": {}", in_quotes(to_text(entry.from)));
    if (!entry.to.missing())
        text += fmt::format(", \"to\": {}", in_quotes(to_text(entry.to)));
    return text + " }";
}

// What is said of a set above its material.
std::string comment(const Season& season, const AgreementSet& set, const CorrectionEntries& entries,
                    Time from, Time to) {
    const std::string& name = season.rules.constituents[set.constituent].name;
    std::string text =
        fmt::format("    // {}{}, n = {}: {}\n", name, set.oil_type.empty() ? "" : " (" + set.oil_type + ")",
                    set.pairs.size(), agreement_verdict(set));
    if (set.computed)
        return text + "    // No correction: these values are worked out from others. Correct those.\n";
    const SetCorrection correction = correction_of(set, from, to);
    if (correction.advised && !correction.in_force())
        text += fmt::format("    // NOT IN FORCE: {}, or put this under \"adjust\", \"{}\":\n    // {}\n",
                            correction.held_back, name, entry_json(*correction.advised));
    const auto at = entries.find({set.material, set.constituent});
    if (!correction.in_force() && at != entries.end() &&
        std::any_of(at->second.begin(), at->second.end(), [&](const rules::Adjustment& entry) {
            return changes_nothing(entry) && entry.oil_type == set.oil_type;
        }))
        text += "    // An entry that changes nothing keeps another correction from these values.\n";
    return text;
}

// The sets as they are once the moisture corrections among the entries are in force, whenever that is.
Result<std::vector<AgreementSet>> with_corrected_moisture(const SampleMeans& means,
                                                          const batch::ReferenceResults& reference,
                                                          const ComparisonOptions& options,
                                                          const std::vector<AgreementSet>& sets,
                                                          const CorrectionEntries& entries) {
    const Season season = means.season();
    rules::Ruleset corrected = season.rules;
    for (rules::Material& material : corrected.materials) {
        std::vector<rules::Adjustment> own;
        for (const std::string& name : with_models(season.rules, material.name))
            if (const auto at = entries.find({name, constituent::moisture}); at != entries.end())
                own.insert(own.end(), at->second.begin(), at->second.end());
        if (own.empty())
            continue;
        for (rules::Adjustment& entry : own)
            entry.from = entry.to = Time{};
        material.adjust[constituent::moisture] = std::move(own);
    }
    const auto again = compare_with_reference(
        *sample_means({season.batch, season.judgement, corrected, season.threads}), reference, options);
    if (!again)
        return tl::unexpected<Error>(again.error());
    std::vector<AgreementSet> made = again->sets;
    for (std::size_t i = 0; i < made.size(); ++i) // of the same results, in the same order
        if (made[i].constituent == constituent::moisture)
            made[i] = sets[i];
    return made;
}

} // namespace

Result<std::string> adjustment_rules(const SampleMeans& means, const batch::ReferenceResults& reference,
                                     const ComparisonOptions& options,
                                     const std::vector<AgreementSet>& compared, Time from, Time to) {
    const Season season = means.season();
    for (const AgreementSet& set : compared)
        if (set.adjusted && set.result)
            return fail(
                fmt::format("the {} values of {} are adjusted by the rules in force already",
                            season.rules.constituents[set.constituent].name, set.material),
                "corrections are never stacked: take `adjust` out of the rules for this comparison, then "
                "replace it");
    std::vector<AgreementSet> sets = compared;
    CorrectionEntries entries = correction_entries(season.rules, sets, from, to);
    const bool moisture = std::any_of(entries.begin(), entries.end(), [](const auto& entry) {
        return entry.first.second == constituent::moisture;
    });
    if (moisture) {
        auto again = with_corrected_moisture(means, reference, options, sets, entries);
        if (!again)
            return tl::unexpected<Error>(again.error());
        sets = std::move(*again);
        entries = correction_entries(season.rules, sets, from, to);
    }
    std::map<std::string, std::map<ConstituentId, std::vector<const AgreementSet*>>> by_material;
    for (const AgreementSet& set : sets)
        by_material[set.material][set.constituent].push_back(&set);
    std::string text = fmt::format(
        "{{\n  // Corrections from a comparison with {}: value used = intercept + slope * "
        "value read.\n  // Check them with samples that were not part of it.\n{}"
        "  \"materials\": {{",
        reference.source,
        moisture ? "  // Moisture is corrected too: all else is compared with the corrected moisture.\n"
                 : "");
    bool first_material = true;
    for (const auto& [material, constituents] : by_material) {
        std::string comments, adjust;
        for (const auto& [id, of_types] : constituents) {
            for (const AgreementSet* set : of_types)
                comments += comment(season, *set, entries, from, to);
            const auto at = entries.find({material, id});
            if (at == entries.end())
                continue;
            std::string list;
            for (const rules::Adjustment& entry : at->second)
                list += (list.empty() ? "" : ",\n          ") + entry_json(entry);
            adjust += fmt::format("{}        \"{}\": [\n          {}\n        ]", adjust.empty() ? "" : ",\n",
                                  season.rules.constituents[id].name, list);
        }
        text += first_material ? "\n" : ",\n";
        first_material = false;
        text += comments;
        text += adjust.empty() ? fmt::format("    {}: {{}}", in_quotes(material))
                               : fmt::format("    {}: {{\n      \"adjust\": {{\n{}\n      }}\n    }}",
                                             in_quotes(material), adjust);
    }
    return text + "\n  }\n}\n";
}

} // namespace thresh::summary

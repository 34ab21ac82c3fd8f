// The snippet holds numbers with all their digits, so that the corrected values are those that the verdict
// speaks of. Corrections are never stacked: values that are adjusted already cannot be the ground of another.
#include <thresh/summary/agreement.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace thresh::summary {

namespace {

struct Line {
    double intercept, slope;
};

// The correction that the advice asks for; none where it asks for none.
std::optional<Line> line_of(const AgreementSet& set) {
    if (!set.result)
        return std::nullopt;
    if (set.result->advice == stats::Advice::subtract_bias)
        return Line{-set.result->bias, 1.0};
    if (set.result->advice == stats::Advice::slope_and_bias)
        return Line{set.result->line->intercept, set.result->line->slope};
    return std::nullopt;
}

// Whether the advice is another without the outlying pairs: one mistaken sample can make a slope.
bool hangs_on_outlying(const AgreementSet& set) {
    if (set.result->outlying.empty())
        return false;
    std::vector<double> nir, reference;
    for (const AgreementPair& pair : set.pairs)
        if (!pair.outlying) {
            nir.push_back(pair.nir);
            reference.push_back(pair.reference);
        }
    const auto without = stats::agreement(nir, reference);
    return !without || without->advice != set.result->advice;
}

std::string in_quotes(std::string_view text) {
    std::string made = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\')
            made += '\\';
        made += c;
    }
    return made + '"';
}

std::string basis_json(const std::string& basis) {
    return basis == "as-is" || basis == "dry" || basis.empty() ? in_quotes(basis.empty() ? "as-is" : basis)
                                                               : basis;
}

std::string day_of(Time time) {
    return to_text(time).substr(0, 10);
}

std::string entry(const AgreementSet& set, const Line& line, Time from, Time to) {
    std::string text =
        fmt::format("{{ \"instrument\": {}", in_quotes(set.instrument.empty() ? "*" : set.instrument));
    if (!set.oil_type.empty())
        text += fmt::format(", \"oil_type\": {}", in_quotes(set.oil_type));
    text += fmt::format(", \"intercept\": {}, \"slope\": {}, \"basis\": {}", line.intercept, line.slope,
                        basis_json(set.basis));
    const std::string begin = from.missing() ? day_of(set.first_reading) : to_text(from);
    if (!begin.empty())
        text += fmt::format(", \"from\": {}", in_quotes(begin));
    if (!to.missing())
        text += fmt::format(", \"to\": {}", in_quotes(to_text(to)));
    return text + " }";
}

std::string about(const Season& season, const AgreementSet& set) {
    return fmt::format("{}{}, n = {}", season.rules.constituents[set.constituent].name,
                       set.oil_type.empty() ? "" : " (" + set.oil_type + ")", set.pairs.size());
}

} // namespace

Result<std::string> adjustment_rules(const Season& season, const std::vector<AgreementSet>& sets,
                                     const std::string& reference, Time from, Time to) {
    for (const AgreementSet& set : sets)
        if (set.adjusted && set.result)
            return fail(
                fmt::format("the {} values of {} are adjusted by the rules in force already",
                            season.rules.constituents[set.constituent].name, set.material),
                "corrections are never stacked: take `adjust` out of the rules for this comparison, then "
                "replace it");
    std::map<std::string, std::map<ConstituentId, std::vector<const AgreementSet*>>> by_material;
    for (const AgreementSet& set : sets)
        by_material[set.material][set.constituent].push_back(&set);
    std::string text =
        fmt::format("{{\n  // Corrections from a comparison with {}: value used = intercept + slope * "
                    "value read.\n  // Check them with samples that were not part of it.\n"
                    "  \"materials\": {{",
                    reference);
    bool first_material = true;
    for (const auto& [material, constituents] : by_material) {
        std::string comments, entries;
        for (const auto& [id, of_types] : constituents) {
            std::string list;
            for (const AgreementSet* set : of_types) {
                comments += fmt::format("    // {}: {}\n", about(season, *set), agreement_verdict(*set));
                const auto line = line_of(*set);
                if (line && hangs_on_outlying(*set))
                    comments += fmt::format("    // NOT IN FORCE: without the outlying pairs (--pairs marks "
                                            "them) the advice is another. "
                                            "Settle\n    // these samples and compare again, or put this "
                                            "under \"adjust\", \"{}\":\n"
                                            "    // {}\n",
                                            season.rules.constituents[id].name, entry(*set, *line, from, to));
                else if (line)
                    list += (list.empty() ? "" : ",\n          ") + entry(*set, *line, from, to);
            }
            if (!list.empty())
                entries +=
                    fmt::format("{}        \"{}\": [\n          {}\n        ]", entries.empty() ? "" : ",\n",
                                season.rules.constituents[id].name, list);
        }
        text += first_material ? "\n" : ",\n";
        first_material = false;
        text += comments;
        text += entries.empty() ? fmt::format("    {}: {{}}", in_quotes(material))
                                : fmt::format("    {}: {{\n      \"adjust\": {{\n{}\n      }}\n    }}",
                                              in_quotes(material), entries);
    }
    return text + "\n  }\n}\n";
}

} // namespace thresh::summary

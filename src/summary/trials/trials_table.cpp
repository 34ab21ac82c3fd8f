// The table of trials, and the settings of their models.
#include <thresh/summary/trials.hpp>

#include "summary/cells.hpp"
#include "summary/reading_values.hpp"

#include <thresh/core/nearest.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

stats::Effect effect_of(std::string_view word) {
    if (word == "fixed")
        return stats::Effect::fixed;
    if (word == "random")
        return stats::Effect::random;
    return word == "none" ? stats::Effect::leave_out : stats::Effect::automatic;
}

Value variance_of(const stats::TrialAnalysis& analysis, std::string_view component) {
    for (const stats::Component& one : analysis.components)
        if (one.name == component)
            return cell(one.variance);
    return {};
}

void add_analysis(const stats::TrialAnalysis& a, std::vector<Value>& row) {
    row.push_back(cell(a.model));
    row.push_back(count(a.plots));
    row.push_back(count(static_cast<std::size_t>(a.lines_with_plots)));
    row.push_back(count(static_cast<std::size_t>(a.environments)));
    for (const auto& value : {a.grand_mean, a.grand_mean_se, a.cv, a.sed, a.sed_df, a.lsd})
        row.push_back(cell(value));
    for (const char* component : {"line", "environment", "rep", "block", "line by environment", "residual"})
        row.push_back(variance_of(a, component));
    for (const auto& value :
         {a.heritability.plain, a.heritability.cullis, a.heritability.piepho, a.reml_criterion})
        row.push_back(cell(value));
}

bool same_trial(const TrialTrait& a, const TrialTrait& b) {
    return a.trial == b.trial && a.material == b.material;
}

// Whether none of several could be analysed, all for the same reasons.
bool nothing_analysed(const std::vector<const TrialTrait*>& traits) {
    return traits.size() > 1 && std::all_of(traits.begin(), traits.end(), [&](const TrialTrait* trait) {
               return !trait->analysis && trait->notes == traits.front()->notes;
           });
}

} // namespace

Result<stats::TrialOptions> trial_effects(const rules::Ruleset& rules,
                                          const std::vector<std::string>& effects) {
    stats::TrialOptions made;
    made.alpha = rules.trials.level_percent / 100;
    made.environment = effect_of(rules.trials.environment);
    made.rep = made.block = effect_of(rules.trials.replicate);
    made.line_by_environment = effect_of(rules.trials.line_by_environment);
    const std::vector<std::pair<std::string, stats::Effect*>> known = {
        {"environment", &made.environment},
        {"rep", &made.rep},
        {"block", &made.block},
        {"line_by_environment", &made.line_by_environment}};
    for (const std::string& text : effects) {
        const std::size_t sign = text.find('=');
        const std::string name = text.substr(0, sign),
                          word = sign == std::string::npos ? "" : text.substr(sign + 1);
        const auto at =
            std::find_if(known.begin(), known.end(), [&](const auto& k) { return k.first == name; });
        if (at == known.end()) {
            std::vector<std::string> names;
            for (const auto& [one, effect] : known)
                names.push_back(one);
            return fail(fmt::format("--effect: there is no effect `{}`", name),
                        nearest_hint(name, names, "effects"));
        }
        const bool interaction = name == "line_by_environment";
        if ((word != "fixed" || interaction) && word != "random" && word != "none")
            return fail(fmt::format("--effect {}: `{}` is no way to model it", name, word),
                        interaction ? "use random or none" : "use fixed, random or none");
        *at->second = effect_of(word);
    }
    return made;
}

std::unique_ptr<Table> trials_table(const Season& season, const SampleMeans& means,
                                    const TrialModels& models) {
    auto table = std::make_unique<StoredTable>("trials", all_columns("trials"));
    const std::vector<TrialTrait>& traits = models.traits();
    for (std::size_t first = 0; first < traits.size();) {
        std::vector<const TrialTrait*> read;
        std::size_t last = first;
        for (; last < traits.size() && same_trial(traits[last], traits[first]); ++last)
            if (traits[last].read)
                read.push_back(&traits[last]);
        first = last;
        const bool once = nothing_analysed(read); // the same words for each would help nobody
        if (once)
            read.resize(1);
        for (const TrialTrait* trait : read) {
            const ConstituentInfo& about = season.rules.constituents[means.constituents()[trait->slot]];
            std::vector<Value> row = {cell(trait->material), cell(trait->trial)};
            if (once)
                row.resize(row.size() + 3);
            else
                row.insert(row.end(), {cell(about.name), cell(about.unit),
                                       cell(means.basis_of(trait->slot, trait->material_index))});
            if (trait->analysis)
                add_analysis(*trait->analysis, row);
            else
                row.resize(row.size() + 20);
            row.push_back(cell(fmt::format("{}", fmt::join(trait->notes, "; "))));
            table->add(std::move(row));
        }
    }
    return table;
}

} // namespace thresh::summary

#include "cli/trial_options.hpp"

#include <fmt/format.h>
#include <thresh/core/nearest.hpp>

namespace thresh::cli {

std::optional<Error> trial_conflict(const Settings& settings) {
    const bool trial_options = !settings.effects.empty() || !settings.checks.empty() || settings.plain ||
                               settings.best > 0 || !settings.lower_is_better.empty();
    if (settings.by && (settings.trial_model || !settings.cut_offs.empty()))
        return Error{"--trial-model and --cut-off are about lines, --by groups them otherwise",
                     "use one of them",
                     {},
                     0,
                     0};
    if (!settings.trial_model && trial_options)
        return Error{"--effect, --check, --plain, --best and --lower-is-better are about the trial model",
                     "add --trial-model",
                     {},
                     0,
                     0};
    constexpr std::uint32_t kMostBest = 1'000'000;
    if (settings.best > kMostBest)
        return Error{fmt::format("--best {} is more than there are lines", settings.best),
                     fmt::format("at most {}", kMostBest),
                     {},
                     0,
                     0};
    return std::nullopt;
}

Result<summary::TrialModels> fit_trials(const Settings& settings, const summary::SampleMeans& means,
                                        bool compare) {
    const rules::Ruleset& rules = means.season().rules;
    const auto effects = summary::trial_effects(rules, settings.effects);
    if (!effects)
        return tl::unexpected(effects.error());
    summary::TrialModelOptions options;
    options.model = *effects;
    options.model.best = static_cast<int>(settings.best);
    options.model.seed = settings.seed;
    options.model.draws = 5000; // the standard error of a chance is then at most 0.007
    options.checks = settings.checks;
    options.compare = compare;
    options.plain = settings.plain;
    for (const std::string& name : settings.lower_is_better) {
        const auto id = rules.constituents.find(name);
        if (!id) {
            std::vector<std::string> names;
            for (const ConstituentId known : means.constituents())
                names.push_back(rules.constituents[known].name);
            return fail(fmt::format("--lower-is-better: there is no constituent `{}`", name),
                        nearest_hint(name, names, "constituents here"));
        }
        options.low.insert(*id);
    }
    return summary::TrialModels::fit(means, options);
}

Result<void> make_parts(const Settings& settings, const summary::Season& season, DecisionParts& parts) {
    parts.means = summary::sample_means(season);
    if (settings.trial_model) {
        auto models = fit_trials(settings, *parts.means, true);
        if (!models)
            return tl::unexpected(models.error());
        parts.models.emplace(std::move(*models));
        parts.notes = parts.models->words(season);
    }
    auto cut_offs = summary::parse_cut_offs(settings.cut_offs, *parts.means);
    if (!cut_offs)
        return tl::unexpected(cut_offs.error());
    if (cut_offs->empty() && settings.best == 0)
        return {};
    auto decisions =
        summary::Decisions::make(*parts.means, std::move(*cut_offs), parts.models ? &*parts.models : nullptr);
    if (!decisions)
        return tl::unexpected(decisions.error());
    parts.decisions.emplace(std::move(*decisions));
    return {};
}

} // namespace thresh::cli

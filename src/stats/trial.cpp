// Two fits of one design: lines random for components, predictions and heritability, lines fixed for adjusted
// means and their differences, each with its own variance components. Adjusted means average the fixed design
// effects with equal weight for every environment. Standard errors take the components as known.
#include "stats/trial_design.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/trial.hpp>

namespace thresh::stats {
namespace {

// The fixed part that every adjusted mean shares: intercept and, for each fixed design factor, its levels
// averaged within environments and then over environments. `first_design` is the position of the first design
// factor.
LinearForm average_design(const MixedFit& fit, const MixedModel& model, const TrialDesign& design,
                          std::size_t first_design) {
    LinearForm form{{0, 1.0}};
    for (std::size_t f = first_design; f < model.fixed.size(); ++f) {
        const Factor& factor = model.fixed[f];
        std::map<int, std::map<int, bool>> levels_of; // environment -> levels
        for (std::size_t i = 0; i < factor.level.size(); ++i)
            levels_of[design.environment.level[i]][factor.level[i]] = true;
        const double share = 1.0 / static_cast<double>(levels_of.size());
        for (const auto& [environment, levels] : levels_of)
            for (const auto& [level, present] : levels)
                form.emplace_back(fit.fixed_position(f, level), share / static_cast<double>(levels.size()));
    }
    return form;
}

double harmonic_mean(const std::vector<int>& counts) {
    double sum = 0.0;
    double present = 0.0;
    for (int count : counts)
        if (count > 0) {
            sum += 1.0 / count;
            present += 1.0;
        }
    return present / sum;
}

double mean_variance(const std::vector<double>& weights) {
    double sum = 0.0;
    for (const double weight : weights)
        sum += 1.0 / weight;
    return sum / static_cast<double>(weights.size());
}

void note(TrialAnalysis& analysis, const std::string& what, const std::string& why) {
    analysis.notes.push_back(what + ": " + why);
}

// Plain heritability counts environments where line by environment is a component of its own.
void plain_heritability(const TrialDesign& design, TrialAnalysis& analysis) {
    const double line = analysis.components.front().variance;
    const double error = analysis.components.back().variance;
    double interaction = 0.0;
    for (const Component& component : analysis.components)
        if (component.name == "line by environment")
            interaction = component.variance;
    const double noise =
        interaction / harmonic_mean(design.environments) + error / harmonic_mean(design.plots);
    if (line + noise > 0.0)
        analysis.heritability.plain = line / (line + noise);
}

void chances(const MixedFit& fit, const TrialDesign& design, const TrialOptions& options,
             TrialAnalysis& analysis) {
    std::vector<int> competing;
    for (int line = 0; line < design.line.levels; ++line) {
        const bool is_check =
            std::find(options.checks.begin(), options.checks.end(), line) != options.checks.end();
        if (design.plots[static_cast<std::size_t>(line)] > 0 && (options.checks_compete || !is_check))
            competing.push_back(line);
    }
    const auto best = static_cast<std::size_t>(options.best);
    if (best >= competing.size()) {
        note(analysis, "chance of being among the best",
             "there are only " + std::to_string(competing.size()) + " lines to choose from");
        return;
    }
    const double affordable = 2e8 / static_cast<double>(10 * analysis.plots);
    const int draws =
        options.draws > 0 ? options.draws : static_cast<int>(std::clamp(affordable, 500.0, 20000.0));
    std::vector<int> hits(static_cast<std::size_t>(design.line.levels), 0);
    const double sign = options.higher_is_better ? 1.0 : -1.0;
    for (int d = 0; d < draws; ++d) {
        const std::vector<double> drawn = fit.draw(options.seed, static_cast<std::uint64_t>(d));
        std::vector<int> order = competing;
        const auto better = [&](int a, int b) {
            const double left = sign * drawn[fit.random_position(0, a)];
            const double right = sign * drawn[fit.random_position(0, b)];
            return left != right ? left > right : a < b;
        };
        std::nth_element(order.begin(), order.begin() + options.best, order.end(), better);
        for (std::size_t i = 0; i < best; ++i)
            ++hits[static_cast<std::size_t>(order[i])];
    }
    for (int line : competing)
        analysis.lines[static_cast<std::size_t>(line)].chance_best =
            static_cast<double>(hits[static_cast<std::size_t>(line)]) / draws;
}

// Lines without a plot are levels of the model all the same; they must not count among the lines compared.
std::vector<bool> with_plots(const TrialDesign& design) {
    std::vector<bool> present;
    for (int plots : design.plots)
        present.push_back(plots > 0);
    return present;
}

void predict(const MixedFit& fit, const MixedModel& model, const TrialDesign& design,
             const TrialOptions& options, TrialAnalysis& analysis) {
    analysis.reml_criterion = fit.reml_criterion();
    if (!fit.converged())
        note(analysis, "variance components", "the iteration did not settle, take them with caution");
    for (const Component& component : analysis.components)
        if (component.at_boundary)
            note(analysis, "variance of " + component.name, "estimated as 0 (at boundary)");
    const auto centre = fit.estimate(average_design(fit, model, design, 0));
    if (centre) {
        analysis.grand_mean = centre->value;
        analysis.grand_mean_se = centre->se;
        if (centre->value > 0.0)
            analysis.cv = 100.0 * std::sqrt(analysis.components.back().variance) / centre->value;
    }
    for (int line = 0; line < design.line.levels; ++line) {
        LineResult& result = analysis.lines[static_cast<std::size_t>(line)];
        if (result.plots == 0 || !centre)
            continue;
        const std::size_t at = fit.random_position(0, line);
        result.blup = centre->value + fit.coefficient(at);
        result.blup_se = std::sqrt(fit.variance(at));
    }
    plain_heritability(design, analysis);
    if (analysis.components.front().at_boundary) {
        note(analysis, "heritability after Cullis and chance of being among the best",
             "the line variance is 0, lines do not differ beyond error");
        return;
    }
    analysis.vd_blup = fit.mean_difference_variance_of_random(0, with_plots(design));
    if (analysis.vd_blup)
        analysis.heritability.cullis = 1.0 - *analysis.vd_blup / (2.0 * analysis.components.front().variance);
    if (options.best > 0)
        chances(fit, design, options, analysis);
}

// Dunnett's comparison of all lines with one check. Loadings follow from the variances of the differences and
// the mean variance between lines; with one-way data they are exactly sqrt(n / (n + n_check)).
void compare(const MixedFit& fit, int check, const TrialDesign& design, const TrialOptions& options,
             TrialAnalysis& analysis) {
    if (check < 0 || check >= design.line.levels || design.plots[static_cast<std::size_t>(check)] == 0) {
        note(analysis, "comparison with check " + std::to_string(check), "it has no plot in this trial");
        return;
    }
    CheckComparison comparison;
    comparison.check = check;
    comparison.df = *analysis.sed_df;
    comparison.lines.resize(static_cast<std::size_t>(design.line.levels));
    const std::size_t check_at = fit.fixed_position(0, check);
    const std::vector<double> with_check = fit.covariances_with({{check_at, 1.0}});
    std::vector<int> compared;
    std::vector<double> variance;
    for (int line = 0; line < design.line.levels; ++line) {
        if (line == check || design.plots[static_cast<std::size_t>(line)] == 0)
            continue;
        const std::size_t at = fit.fixed_position(0, line);
        compared.push_back(line);
        variance.push_back(std::max(0.0, fit.variance(at) + fit.variance(check_at) - 2.0 * with_check[at]));
    }
    const double mean_variance =
        std::accumulate(variance.begin(), variance.end(), 0.0) / static_cast<double>(variance.size());
    std::vector<bool> others(static_cast<std::size_t>(design.line.levels), false);
    for (int line : compared)
        others[static_cast<std::size_t>(line)] = true;
    const double between = fit.mean_difference_variance_of_fixed(0, others).value_or(mean_variance);
    const double common = std::max(0.0, mean_variance - 0.5 * between);
    std::vector<double> t;
    std::vector<double> loadings;
    for (std::size_t i = 0; i < compared.size(); ++i) {
        const double difference =
            fit.coefficient(fit.fixed_position(0, compared[i])) - fit.coefficient(check_at);
        t.push_back(difference / std::sqrt(variance[i]));
        loadings.push_back(std::min(0.999, std::sqrt(common / variance[i])));
    }
    const auto [p, critical] = dunnett_test(t, options.alpha, loadings, comparison.df);
    comparison.critical = critical;
    for (std::size_t i = 0; i < compared.size(); ++i) {
        const double se = std::sqrt(variance[i]);
        const double difference = t[i] * se;
        const double reach = comparison.critical * se;
        comparison.lines[static_cast<std::size_t>(compared[i])] = CheckDifference{
            difference, se, p[i], t_two_sided_p(t[i], comparison.df), difference - reach, difference + reach};
    }
    analysis.checks.push_back(std::move(comparison));
}

// Adjusted means with standard errors: one solve for the part they share, the diagonal for the rest.
void adjusted_means(const MixedFit& fit, const MixedModel& model, const TrialDesign& design,
                    TrialAnalysis& analysis) {
    const LinearForm shared = average_design(fit, model, design, 1);
    const std::vector<double> with_shared = fit.covariances_with(shared);
    double shared_value = 0.0;
    double shared_variance = 0.0;
    for (const auto& [position, weight] : shared) {
        shared_value += weight * fit.coefficient(position);
        shared_variance += weight * with_shared[position];
    }
    for (int line = 0; line < design.line.levels; ++line) {
        LineResult& result = analysis.lines[static_cast<std::size_t>(line)];
        if (result.plots == 0)
            continue;
        const std::size_t at = fit.fixed_position(0, line);
        LinearForm form = shared;
        form.emplace_back(at, 1.0);
        if (!fit.estimable(form))
            continue;
        result.blue = shared_value + fit.coefficient(at);
        result.blue_se = std::sqrt(std::max(0.0, shared_variance + fit.variance(at) + 2.0 * with_shared[at]));
    }
}

void compare_lines(const MixedFit& fit, const MixedModel& model, const TrialDesign& design,
                   const TrialOptions& options, TrialAnalysis& analysis) {
    adjusted_means(fit, model, design, analysis);
    const std::vector<bool> present = with_plots(design);
    analysis.vd_blue = fit.mean_difference_variance_of_fixed(0, present);
    analysis.sed_df = fit.mean_difference_df_of_fixed(0, present);
    if (!analysis.vd_blue || !analysis.sed_df) {
        note(analysis, "standard error of a difference and comparisons with checks",
             "not all lines can be compared with each other in this design");
        return;
    }
    analysis.sed = std::sqrt(*analysis.vd_blue);
    analysis.lsd = t_quantile(1.0 - 0.5 * options.alpha, *analysis.sed_df) * *analysis.sed;
    for (int check : options.checks)
        compare(fit, check, design, options, analysis);
}

} // namespace

Result<TrialAnalysis> analyse_trial(const TrialData& data, const TrialOptions& options) {
    auto design = make_trial_design(data, options);
    if (!design)
        return tl::unexpected<Error>(design.error());
    TrialAnalysis analysis;
    analysis.model = design->words;
    analysis.notes = design->notes;
    analysis.plots = data.y.size();
    analysis.environments = design->environment.levels;
    for (std::size_t line = 0; line < design->plots.size(); ++line) {
        LineResult result;
        result.plots = design->plots[line];
        result.environments = design->environments[line];
        analysis.lines.push_back(result);
        analysis.lines_with_plots += result.plots > 0 ? 1 : 0;
    }
    const MixedModel random_lines = trial_model(data, *design, true);
    const auto prediction = fit_mixed_model(random_lines);
    if (prediction) {
        analysis.components = prediction->components();
        if (data.known_variances)
            analysis.components.back().variance = mean_variance(data.weights);
        predict(*prediction, random_lines, *design, options, analysis);
    } else
        note(analysis, "predictions and heritability", prediction.error().message);
    const MixedModel fixed_lines = trial_model(data, *design, false);
    RemlOptions from_there; // the same components but the line's
    if (prediction)
        for (std::size_t c = 1; c < analysis.components.size(); ++c)
            from_there.start.push_back(prediction->components()[c].variance);
    const auto adjustment = fit_mixed_model(fixed_lines, from_there);
    if (adjustment)
        compare_lines(*adjustment, fixed_lines, *design, options, analysis);
    else
        note(analysis, "adjusted means", adjustment.error().message);
    if (!prediction && !adjustment)
        return tl::unexpected<Error>(prediction.error());
    if (prediction && analysis.vd_blue) {
        const double line = analysis.components.front().variance;
        analysis.heritability.piepho = line / (line + 0.5 * *analysis.vd_blue);
    }
    return analysis;
}

} // namespace thresh::stats

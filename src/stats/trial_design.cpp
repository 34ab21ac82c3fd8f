// An effect is taken in when the codes name it and the data can tell it from the others: reps where an
// environment has more than one, blocks where they divide reps and hold more than one plot, line by
// environment where some line has several plots in an environment and lines recur over environments.
#include "stats/trial_design.hpp"

#include <algorithm>
#include <cassert>
#include <set>

namespace thresh::stats {
namespace {

// Codes with gaps and -1 made consecutive; an empty vector gives a single level.
Factor compact(const std::string& name, const std::vector<int>& codes, std::size_t n) {
    const std::vector<int> given = codes.empty() ? std::vector<int>(n, 0) : codes;
    const std::set<int> distinct(given.begin(), given.end());
    const std::vector<int> order(distinct.begin(), distinct.end());
    Factor factor{name, {}, static_cast<int>(order.size())};
    for (int code : given)
        factor.level.push_back(
            static_cast<int>(std::lower_bound(order.begin(), order.end(), code) - order.begin()));
    return factor;
}

bool same_groups(const Factor& a, const Factor& b) {
    return nested_in(a, b) && nested_in(b, a);
}

bool any_level_repeats(const Factor& factor) {
    return factor.level.size() >
           static_cast<std::size_t>(std::set<int>(factor.level.begin(), factor.level.end()).size());
}

void count_lines(TrialDesign& design) {
    std::vector<std::set<int>> seen(static_cast<std::size_t>(design.line.levels));
    design.plots.assign(seen.size(), 0);
    for (std::size_t i = 0; i < design.line.level.size(); ++i) {
        const auto line = static_cast<std::size_t>(design.line.level[i]);
        ++design.plots[line];
        seen[line].insert(design.environment.level[i]);
    }
    for (const auto& environments : seen)
        design.environments.push_back(static_cast<int>(environments.size()));
}

void add_rep_and_block(const TrialData& data, const TrialOptions& options, TrialDesign& design) {
    const std::size_t n = data.y.size();
    Factor within = design.environment;
    if (!data.rep.empty()) {
        Factor rep = crossed(design.environment, compact("rep", data.rep, n));
        rep.name = "rep";
        const bool divides = !same_groups(rep, design.environment);
        if (divides)
            within = rep;
        if (divides && options.rep != Effect::leave_out && any_level_repeats(rep))
            design.rep = rep;
    }
    if (data.block.empty() || options.block == Effect::leave_out)
        return;
    Factor block = crossed(within, compact("block", data.block, n));
    block.name = "block";
    if (same_groups(block, within))
        return;
    if (!any_level_repeats(block)) {
        design.notes.push_back("blocks hold one plot each and are left out");
        return;
    }
    design.block = block;
}

void add_interaction(const TrialData& data, const TrialOptions& options, TrialDesign& design) {
    if (design.environment.levels < 2 || options.line_by_environment == Effect::leave_out)
        return;
    const bool recurs =
        std::any_of(design.environments.begin(), design.environments.end(), [](int e) { return e > 1; });
    Factor interaction = crossed(design.line, design.environment);
    interaction.name = "line by environment";
    if (recurs && (data.known_variances || any_level_repeats(interaction)))
        design.line_by_environment = interaction;
    else
        design.notes.push_back(
            "line by environment is part of the residual: no line has several plots in one of "
            "several environments");
}

std::string kind(bool fixed) {
    return fixed ? "fixed" : "random";
}

std::string in_words(const TrialDesign& design) {
    std::string text = "line (random for predictions, fixed for adjusted means)";
    if (design.environment.levels > 1)
        text += " + environment (" + kind(design.environment_fixed) + ")";
    const std::string inside = design.environment.levels > 1 ? " within environment" : "";
    if (design.rep)
        text += " + rep" + inside + " (" + kind(design.rep_fixed) + ")";
    if (design.block)
        text += std::string(" + block within ") + (design.rep ? "rep" : "environment") + " (" +
                kind(design.block_fixed) + ")";
    if (design.line_by_environment)
        text += " + line by environment (random)";
    return text + " + residual";
}

} // namespace

Result<TrialDesign> make_trial_design(const TrialData& data, const TrialOptions& options) {
    const std::size_t n = data.y.size();
    assert(data.line.size() == n);
    TrialDesign design;
    design.line = Factor{"line", data.line, data.lines};
    design.environment = compact("environment", data.environment, n);
    design.environment_fixed = options.environment != Effect::random;
    design.rep_fixed = options.rep == Effect::fixed;
    design.block_fixed = options.block == Effect::fixed;
    count_lines(design);
    const auto present =
        std::count_if(design.plots.begin(), design.plots.end(), [](int plots) { return plots > 0; });
    if (n == 0)
        return fail("no plot has a usable value", "see the findings for what was left out");
    if (present < 2)
        return fail("a single line cannot be compared with others", "a trial needs at least two lines");
    if (!data.known_variances && !any_level_repeats(design.line))
        return fail("each line has one plot: differences between lines and error cannot be told apart",
                    "replicate lines or checks, or use the plain means");
    if (options.environment == Effect::leave_out)
        design.environment = compact("environment", {}, n);
    if (design.environment.levels > 1 && design.environment_fixed) {
        const int parts = connectivity(design.line, design.environment).parts;
        if (parts > 1)
            return fail("the environments fall into " + std::to_string(parts) + " sets that share no line",
                        "analyse the sets as trials of their own, or add common checks");
    }
    add_rep_and_block(data, options, design);
    add_interaction(data, options, design);
    if (design.environment.levels == 1)
        design.notes.push_back("one environment: the line variance contains line by environment, so that "
                               "heritability holds for this environment only");
    design.words = in_words(design);
    if (data.known_variances)
        design.words += " (known variances)";
    return design;
}

MixedModel trial_model(const TrialData& data, const TrialDesign& design, bool lines_random) {
    MixedModel model;
    model.y = data.y;
    model.weights = data.weights;
    model.residual_known = data.known_variances;
    (lines_random ? model.random : model.fixed).push_back(design.line);
    if (design.environment.levels > 1)
        (design.environment_fixed ? model.fixed : model.random).push_back(design.environment);
    if (design.rep)
        (design.rep_fixed ? model.fixed : model.random).push_back(*design.rep);
    if (design.block)
        (design.block_fixed ? model.fixed : model.random).push_back(*design.block);
    if (design.line_by_environment)
        model.random.push_back(*design.line_by_environment);
    return model;
}

} // namespace thresh::stats

// Analysis of one trait in one breeding trial: adjusted means (BLUE), predictions (BLUP), precision,
// heritability, comparisons with checks and the chance of being among the best, from integer codes. The model
// is picked from what the design holds and told in words.
//
// A number that cannot be given is an empty optional, and `notes` says why. An analysis that cannot be made
// at all is an Error: no value, a single line, a constant trait, one plot a line, lines that no environment
// links.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <thresh/core/result.hpp>
#include <thresh/stats/mixed_model.hpp>
#include <vector>

namespace thresh::stats {

// One value a plot. Codes count from 0. An empty code vector means that the design does not say; -1 in it
// means the same for a plot: the plot then forms a group of its own kind within its environment.
struct TrialData {
    std::vector<double> y;
    std::vector<int> line;
    int lines = 0; // number of line codes; lines without a plot are all right
    std::vector<int> environment;
    std::vector<int> rep;         // may be numbered anew in each environment
    std::vector<int> block;       // may be numbered anew in each rep
    std::vector<double> weights;  // empty: plots weigh equally; else reciprocal relative variances
    bool known_variances = false; // the weights are reciprocal variances: no residual is estimated
};

// How an effect enters; `automatic`: environment fixed, rep and block random, line by environment random
// where lines are replicated within environments.
enum class Effect { automatic, fixed, random, leave_out };

struct TrialOptions {
    Effect environment = Effect::automatic;
    Effect rep = Effect::automatic;
    Effect block = Effect::automatic;
    Effect line_by_environment = Effect::automatic; // `fixed` is not offered and taken as `random`
    std::vector<int> checks;                        // line codes
    double alpha = 0.05;
    int best = 0;                // chance of being among the best so many lines; 0: not asked
    bool checks_compete = false; // whether checks can be among the best
    bool higher_is_better = true;
    std::uint64_t seed = 1;
    int draws = 0; // 0: as many as the size of the trial allows, 500 to 20,000
};

// Difference of a line from a check, from the adjusted means.
struct CheckDifference {
    double difference = 0.0; // line minus check
    double se = 0.0;
    double p = 1.0;       // Dunnett, simultaneous over all lines compared with this check, two-sided
    double plain_p = 1.0; // Student's t for this comparison alone
    double low = 0.0;     // simultaneous confidence interval
    double high = 0.0;
};

struct CheckComparison {
    int check = 0;
    double df = 0.0;
    double critical = 0.0; // Dunnett's simultaneous critical t
    std::vector<std::optional<CheckDifference>>
        lines; // by line code; empty for the check and lines without BLUE
};

struct LineResult {
    int plots = 0;
    int environments = 0;
    std::optional<double> blue; // adjusted mean over all environments
    std::optional<double> blue_se;
    std::optional<double> blup;        // grand mean plus predicted effect of the line
    std::optional<double> blup_se;     // square root of the prediction error variance of the effect
    std::optional<double> chance_best; // of being among the best `TrialOptions::best`
};

struct Heritability {
    std::optional<double>
        plain; // s2g / (s2g + s2ge / e + s2 / plots), harmonic means of environments and plots
    std::optional<double> cullis; // 1 - vd_BLUP / (2 s2g), Cullis et al. 2006
    std::optional<double> piepho; // s2g / (s2g + vd_BLUE / 2), Piepho and Moehring 2007
};

struct TrialAnalysis {
    std::string model;              // in words
    std::vector<std::string> notes; // what could not be given and why, and what to keep in mind
    std::size_t plots = 0;
    int lines_with_plots = 0;
    int environments = 0;
    std::optional<double> grand_mean;
    std::optional<double> grand_mean_se;
    // Of the model with random lines; line first, residual last. A known residual is the mean over plots.
    std::vector<Component> components;
    std::optional<double> reml_criterion;
    std::optional<double> cv;     // 100 * residual SD / grand mean; none where the mean is not positive
    std::optional<double> sed;    // root of the mean variance of a difference of two BLUEs
    std::optional<double> sed_df; // Satterthwaite
    std::optional<double> lsd;    // t(1 - alpha/2, sed_df) * sed
    std::optional<double> vd_blue;
    std::optional<double> vd_blup;
    Heritability heritability;
    std::vector<LineResult> lines; // by line code
    std::vector<CheckComparison> checks;
};

Result<TrialAnalysis> analyse_trial(const TrialData& data, const TrialOptions& options = {});

} // namespace thresh::stats

// Linear mixed models y = X b + sum of Z_i u_i + e with independent random factors, fitted by restricted
// maximum likelihood (REML). Factors are integer codes 0, 1, ...; unbalanced data, empty levels and
// rank-deficient fixed effects are all right. Variances: var(u_i) = s2_i I, var(e) = s2 / weight.
//
// What cannot be fitted is an Error in words: no observation, a constant response, a random factor that the
// fixed effects or another factor or the residual absorb, no residual degree of freedom.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <thresh/core/result.hpp>
#include <utility>
#include <vector>

namespace thresh::stats {

// A grouping of the observations.
struct Factor {
    std::string name;
    std::vector<int> level; // one an observation, 0 <= level < levels
    int levels = 0;
};

// The combinations of two factors that occur, numbered in the order of (first, second). `pairs`, when given,
// receives the two levels behind each number.
Factor crossed(const Factor& first, const Factor& second, std::vector<std::pair<int, int>>* pairs = nullptr);

// True when every level of `inner` lies within one level of `outer`.
bool nested_in(const Factor& inner, const Factor& outer);

struct Covariate {
    std::string name;
    std::vector<double> value; // centre it when its mean is far from 0 against its spread
};

// What is fitted. There always is an intercept; each fixed factor gets an effect a level, and what is
// redundant is found and set to 0.
struct MixedModel {
    std::vector<double> y;
    std::vector<double> weights; // empty: all 1; else > 0, one an observation
    std::vector<Covariate> covariates;
    std::vector<Factor> fixed;
    std::vector<Factor> random;
    bool residual_known = false; // var(e) = 1 / weight exactly: the weights are reciprocal known variances
};

// One variance component; the residual comes last.
struct Component {
    std::string name;
    double variance = 0.0;
    std::optional<double> se; // from the average information; missing at the boundary and when known
    bool at_boundary = false; // the likelihood is highest at 0
    int levels = 0;
};

// A weighted sum of coefficients, by position (see MixedFit).
using LinearForm = std::vector<std::pair<std::size_t, double>>;

struct FormEstimate {
    double value = 0.0;
    double se = 0.0; // prediction error where random effects take part
    double df = 0.0; // Satterthwaite, from the uncertainty of the components; infinite when they are known
};

namespace detail {
struct FittedModel;
}

// A fitted model. Coefficients have positions: 0 is the intercept, then covariates, the levels of the fixed
// factors and of the random factors in the order given.
class MixedFit {
  public:
    explicit MixedFit(std::shared_ptr<const detail::FittedModel> fitted);

    // Random factors in the order given, then the residual.
    const std::vector<Component>& components() const;
    // Asymptotic covariance of the components, row by row, 0 for those at the boundary or known.
    double component_covariance(std::size_t i, std::size_t j) const;
    // -2 log restricted likelihood with all constants, the criterion that R package lme4 prints.
    double reml_criterion() const;
    bool converged() const;
    int steps() const;
    // Number of observations and rank of the fixed effects.
    std::size_t observations() const;
    std::size_t fixed_rank() const;

    std::size_t covariate_position(std::size_t covariate) const;
    std::size_t fixed_position(std::size_t factor, int level) const;
    std::size_t random_position(std::size_t factor, int level) const;

    // Estimate of a fixed effect (0 when redundant) or BLUP of a random one.
    double coefficient(std::size_t position) const;
    // Its variance; for random effects the prediction error variance, in which the fixed effects' share is
    // included. 0 for redundant effects and for random effects at the boundary.
    double variance(std::size_t position) const;

    // Whether the fixed part of the form can be estimated at all from these data.
    bool estimable(const LinearForm& form) const;
    // Empty when not estimable.
    std::optional<FormEstimate> estimate(const LinearForm& form) const;
    // Covariance of the estimates of two estimable forms.
    double covariance(const LinearForm& a, const LinearForm& b) const;
    // Column of the covariance matrix of all coefficients with one estimable form.
    std::vector<double> covariances_with(const LinearForm& form) const;

    // Mean variance of the difference of two levels, over all pairs of the levels flagged in `wanted` (empty:
    // all levels). Of BLUPs for a random factor, of BLUEs for a fixed one. Empty below two levels and when
    // not all differences are estimable.
    std::optional<double> mean_difference_variance_of_random(std::size_t factor,
                                                             const std::vector<bool>& wanted = {}) const;
    std::optional<double> mean_difference_variance_of_fixed(std::size_t factor,
                                                            const std::vector<bool>& wanted = {}) const;
    // Satterthwaite degrees of freedom of the latter.
    std::optional<double> mean_difference_df_of_fixed(std::size_t factor,
                                                      const std::vector<bool>& wanted = {}) const;

    // Draw number `draw` of all coefficients from their joint distribution about the estimates; the same
    // numbers for the same seed and draw on every run.
    std::vector<double> draw(std::uint64_t seed, std::uint64_t draw) const;

  private:
    std::shared_ptr<const detail::FittedModel> fitted_;
};

struct RemlOptions {
    int max_steps = 100;
    double tolerance = 1e-11; // relative change of the components
    // Where the search begins: a variance for each random factor in order, then the residual, such as those
    // of a similar fit; those that are 0 are put a little above. Empty: found from the data.
    std::vector<double> start;
};

Result<MixedFit> fit_mixed_model(const MixedModel& model, const RemlOptions& options = {});

// Parts of a two-way layout that no common level links: number of the part of each observation, and how many
// there are. Comparisons across parts cannot be made without assuming something.
struct Connectivity {
    std::vector<int> part;
    int parts = 0;
};
Connectivity connectivity(const Factor& first, const Factor& second);

} // namespace thresh::stats

// Fits by REML, then solves the mixed model equations once at the estimates. Everything inside works on a
// centred response of unit variance; this file brings results back to the scale of the data. Variances of
// estimates take the components as known; only degrees of freedom (Satterthwaite) allow for their
// uncertainty.
#include "stats/fitted_model.hpp"

#include <cmath>
#include <map>

namespace thresh::stats {

Factor crossed(const Factor& first, const Factor& second, std::vector<std::pair<int, int>>* pairs) {
    std::map<std::pair<int, int>, int> number;
    for (std::size_t i = 0; i < first.level.size(); ++i)
        number[{first.level[i], second.level[i]}] = 0;
    int next = 0;
    if (pairs != nullptr)
        pairs->clear();
    for (auto& [pair, code] : number) {
        code = next++;
        if (pairs != nullptr)
            pairs->push_back(pair);
    }
    Factor result{first.name + ":" + second.name, {}, next};
    result.level.reserve(first.level.size());
    for (std::size_t i = 0; i < first.level.size(); ++i)
        result.level.push_back(number[{first.level[i], second.level[i]}]);
    return result;
}

bool nested_in(const Factor& inner, const Factor& outer) {
    std::vector<int> home(static_cast<std::size_t>(inner.levels), -1);
    for (std::size_t i = 0; i < inner.level.size(); ++i) {
        int& known = home[static_cast<std::size_t>(inner.level[i])];
        if (known >= 0 && known != outer.level[i])
            return false;
        known = outer.level[i];
    }
    return true;
}

Connectivity connectivity(const Factor& first, const Factor& second) {
    // Union-find over the levels of both factors.
    std::vector<int> parent(static_cast<std::size_t>(first.levels + second.levels));
    for (std::size_t i = 0; i < parent.size(); ++i)
        parent[i] = static_cast<int>(i);
    const auto root = [&](int node) {
        while (parent[static_cast<std::size_t>(node)] != node) {
            int& up = parent[static_cast<std::size_t>(node)];
            up = parent[static_cast<std::size_t>(up)];
            node = up;
        }
        return node;
    };
    for (std::size_t i = 0; i < first.level.size(); ++i)
        parent[static_cast<std::size_t>(root(first.level[i]))] = root(first.levels + second.level[i]);
    Connectivity result;
    std::map<int, int> number;
    for (int level : first.level) {
        const auto [entry, fresh] = number.try_emplace(root(level), result.parts);
        result.parts += fresh ? 1 : 0;
        result.part.push_back(entry->second);
    }
    return result;
}

namespace detail {

std::vector<double> active_ratios(const std::vector<double>& components, const std::vector<bool>& active) {
    std::vector<double> ratios;
    for (std::size_t r = 0; r < active.size(); ++r)
        if (active[r])
            ratios.push_back(components.back() / components[r]);
    return ratios;
}

} // namespace detail

namespace {

using detail::FittedModel;

void name_components(const MixedModel& model, FittedModel& fitted) {
    const std::size_t randoms = model.random.size();
    for (std::size_t r = 0; r <= randoms; ++r) {
        const bool residual = r == randoms;
        Component component;
        component.name = residual ? "residual" : model.random[r].name;
        component.levels = residual ? static_cast<int>(model.y.size()) : model.random[r].levels;
        component.variance = fitted.fit.components[r] * fitted.square();
        component.at_boundary = !residual && fitted.fit.at_boundary[r];
        const auto i = static_cast<Eigen::Index>(r);
        if (!component.at_boundary && fitted.fit.covariance(i, i) > 0.0)
            component.se = std::sqrt(fitted.fit.covariance(i, i)) * fitted.square();
        fitted.components.push_back(component);
    }
}

// Puts back the constant that was taken off the response: it belongs to the intercept or, where that is
// redundant, to the columns that make it up.
void add_centre(FittedModel& fitted) {
    const Design& design = fitted.design;
    for (std::size_t r = 0; r < design.redundant_column.size(); ++r)
        if (design.redundant_column[r] == 0) {
            fitted.coefficients.head(design.fixed_columns) +=
                design.centre * design.dependence.col(static_cast<Eigen::Index>(r));
            return;
        }
    fitted.coefficients[0] += design.centre;
}

std::size_t position(const ColumnRange& range, int level) {
    return static_cast<std::size_t>(range.begin) + static_cast<std::size_t>(level);
}

} // namespace

Result<MixedFit> fit_mixed_model(const MixedModel& model, const RemlOptions& options) {
    auto design = make_design(model);
    if (!design)
        return tl::unexpected<Error>(design.error());
    auto fit = reml(*design, model, options);
    if (!fit)
        return tl::unexpected<Error>(fit.error());
    auto fitted = std::make_shared<FittedModel>();
    fitted->design = std::move(*design);
    fitted->fit = std::move(*fit);
    fitted->residual_known = model.residual_known;
    for (bool gone : fitted->fit.at_boundary)
        fitted->active.push_back(!gone);
    fitted->equations = std::move(fitted->fit.equations);
    const MixedEquations& equations = *fitted->equations;
    fitted->coefficients = fitted->design.scale * equations.spread(fitted->fit.solution);
    add_centre(*fitted);
    fitted->variances =
        fitted->square() * fitted->residual_variance() * equations.spread(fitted->fit.inverse_diagonal);
    name_components(model, *fitted);
    return MixedFit(std::move(fitted));
}

MixedFit::MixedFit(std::shared_ptr<const detail::FittedModel> fitted) : fitted_(std::move(fitted)) {}

const std::vector<Component>& MixedFit::components() const {
    return fitted_->components;
}

double MixedFit::component_covariance(std::size_t i, std::size_t j) const {
    const double fourth = fitted_->square() * fitted_->square();
    return fourth * fitted_->fit.covariance(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(j));
}

double MixedFit::reml_criterion() const {
    // From the scaled response back: each of the n - p contrasts is wider by `scale`.
    const Design& design = fitted_->design;
    const double contrasts = static_cast<double>(design.observations() - design.fixed_rank);
    return fitted_->fit.criterion + 2.0 * contrasts * std::log(design.scale);
}

bool MixedFit::converged() const {
    return fitted_->fit.converged;
}
int MixedFit::steps() const {
    return fitted_->fit.steps;
}
std::size_t MixedFit::observations() const {
    return static_cast<std::size_t>(fitted_->design.observations());
}
std::size_t MixedFit::fixed_rank() const {
    return static_cast<std::size_t>(fitted_->design.fixed_rank);
}

std::size_t MixedFit::covariate_position(std::size_t covariate) const {
    return position(fitted_->design.covariates[covariate], 0);
}
std::size_t MixedFit::fixed_position(std::size_t factor, int level) const {
    return position(fitted_->design.fixed[factor], level);
}
std::size_t MixedFit::random_position(std::size_t factor, int level) const {
    return position(fitted_->design.random[factor], level);
}

double MixedFit::coefficient(std::size_t at) const {
    return fitted_->coefficients[static_cast<Eigen::Index>(at)];
}
double MixedFit::variance(std::size_t at) const {
    return fitted_->variances[static_cast<Eigen::Index>(at)];
}

} // namespace thresh::stats

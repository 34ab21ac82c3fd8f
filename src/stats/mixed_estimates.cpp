// Linear forms of the coefficients of a fitted model. Variances come from solves with the factorised
// equations, mean variances of differences from the diagonal of the inverse and one solve: for n levels with
// covariance block C it is 2 [tr C - (sum C - tr C) / (n - 1)] / n.
#include "stats/fitted_model.hpp"

#include <cassert>
#include <cmath>
#include <limits>
#include <thresh/stats/random.hpp>

namespace thresh::stats {
namespace {

using detail::FittedModel;

Vector dense(const FittedModel& fitted, const LinearForm& form) {
    Vector all = Vector::Zero(fitted.design.matrix.cols());
    for (const auto& [position, weight] : form)
        all[static_cast<Eigen::Index>(position)] += weight;
    return all;
}

bool in_row_space(const Design& design, const Vector& form) {
    const Vector fixed = form.head(design.fixed_columns);
    const double tolerance = 1e-7 * (1.0 + fixed.cwiseAbs().maxCoeff());
    for (std::size_t r = 0; r < design.redundant_column.size(); ++r) {
        const double implied = design.dependence.col(static_cast<Eigen::Index>(r)).dot(fixed);
        if (std::fabs(fixed[design.redundant_column[r]] - implied) > tolerance)
            return false;
    }
    return true;
}

// Satterthwaite: 2 v^2 over the variance of v, whose gradient to the components is given.
double satterthwaite(double value, const Vector& gradient, const Matrix& covariance) {
    const double uncertainty = gradient.dot(covariance * gradient);
    return uncertainty > 0.0 ? 2.0 * value * value / uncertainty : std::numeric_limits<double>::infinity();
}

// Mean variance over all pairs of the columns in `columns`, from equations that are factorised. Scaled
// response.
double mean_pair_variance(const MixedEquations& equations, const Vector& inverse_diagonal,
                          const std::vector<Eigen::Index>& columns, double residual_variance) {
    Vector ones = Vector::Zero(equations.size());
    double trace = 0.0;
    for (Eigen::Index column : columns) {
        const Eigen::Index own = equations.place(column);
        if (own < 0)
            continue; // set to 0: no variance
        ones[own] = 1.0;
        trace += inverse_diagonal[own];
    }
    const double sum = ones.dot(equations.factor().solve(ones));
    const double n = static_cast<double>(columns.size());
    return residual_variance * 2.0 * (trace - (sum - trace) / (n - 1.0)) / n;
}

std::vector<Eigen::Index> wanted_columns(const ColumnRange& range, const std::vector<bool>& wanted) {
    std::vector<Eigen::Index> columns;
    for (Eigen::Index j = range.begin; j < range.end; ++j)
        if (wanted.empty() || wanted[static_cast<std::size_t>(j - range.begin)])
            columns.push_back(j);
    return columns;
}

// As in_row_space() for the form (column k) - (column 0), without building it.
bool differences_estimable(const Design& design, const std::vector<Eigen::Index>& columns) {
    for (std::size_t k = 1; k < columns.size(); ++k)
        for (std::size_t r = 0; r < design.redundant_column.size(); ++r) {
            const Eigen::Index redundant = design.redundant_column[r];
            const auto dependence = design.dependence.col(static_cast<Eigen::Index>(r));
            const double own = (columns[k] == redundant ? 1.0 : 0.0) - (columns[0] == redundant ? 1.0 : 0.0);
            if (std::fabs(own - (dependence[columns[k]] - dependence[columns[0]])) > 1e-7)
                return false;
        }
    return columns.size() >= 2;
}

} // namespace

bool MixedFit::estimable(const LinearForm& form) const {
    return in_row_space(fitted_->design, dense(*fitted_, form));
}

std::optional<FormEstimate> MixedFit::estimate(const LinearForm& form) const {
    const Vector all = dense(*fitted_, form);
    if (!in_row_space(fitted_->design, all))
        return std::nullopt;
    const MixedEquations& equations = *fitted_->equations;
    const double s2 = fitted_->residual_variance();
    const Vector right = equations.gather(all);
    const Vector solved = s2 * equations.factor().solve(right); // C^-1 k
    const double variance = std::max(0.0, right.dot(solved));
    FormEstimate estimate;
    estimate.value = all.dot(fitted_->coefficients);
    estimate.se = std::sqrt(variance) * fitted_->design.scale;
    // dv/ds2_r = |s_r|^2 / s2_r^2 and dv/ds2 = s' M s / s2^2 with s = C^-1 k.
    Vector gradient = Vector::Zero(fitted_->fit.covariance.rows());
    std::size_t own = 0;
    for (std::size_t r = 0; r < fitted_->active.size(); ++r) {
        if (!fitted_->active[r])
            continue;
        const ColumnRange range = equations.random()[own++];
        const double component = fitted_->fit.components[r];
        gradient[static_cast<Eigen::Index>(r)] =
            solved.segment(range.begin, range.size()).squaredNorm() / (component * component);
    }
    gradient[gradient.size() - 1] =
        solved.dot(equations.cross_products().selfadjointView<Eigen::Lower>() * solved) / (s2 * s2);
    estimate.df = satterthwaite(variance, gradient, fitted_->fit.covariance);
    return estimate;
}

std::vector<double> MixedFit::covariances_with(const LinearForm& form) const {
    const MixedEquations& equations = *fitted_->equations;
    const Vector solved = equations.factor().solve(equations.gather(dense(*fitted_, form)));
    const Vector all = fitted_->square() * fitted_->residual_variance() * equations.spread(solved);
    return {all.data(), all.data() + all.size()};
}

double MixedFit::covariance(const LinearForm& a, const LinearForm& b) const {
    const std::vector<double> column = covariances_with(a);
    double sum = 0.0;
    for (const auto& [position, weight] : b)
        sum += weight * column[position];
    return sum;
}

std::optional<double> MixedFit::mean_difference_variance_of_random(std::size_t factor,
                                                                   const std::vector<bool>& wanted) const {
    const auto columns = wanted_columns(fitted_->design.random[factor], wanted);
    if (columns.size() < 2)
        return std::nullopt;
    const Vector diagonal = fitted_->variances / (fitted_->square() * fitted_->residual_variance());
    return fitted_->square() * mean_pair_variance(*fitted_->equations, fitted_->equations->gather(diagonal),
                                                  columns, fitted_->residual_variance());
}

std::optional<double> MixedFit::mean_difference_variance_of_fixed(std::size_t factor,
                                                                  const std::vector<bool>& wanted) const {
    const auto columns = wanted_columns(fitted_->design.fixed[factor], wanted);
    if (!differences_estimable(fitted_->design, columns))
        return std::nullopt;
    const Vector diagonal = fitted_->variances / (fitted_->square() * fitted_->residual_variance());
    return fitted_->square() * mean_pair_variance(*fitted_->equations, fitted_->equations->gather(diagonal),
                                                  columns, fitted_->residual_variance());
}

std::optional<double> MixedFit::mean_difference_df_of_fixed(std::size_t factor,
                                                            const std::vector<bool>& wanted) const {
    const auto columns = wanted_columns(fitted_->design.fixed[factor], wanted);
    if (!differences_estimable(fitted_->design, columns))
        return std::nullopt;
    // The variance is s2 f(ratios), smooth in the ratios: central differences, an error of 1e-9 of df does no
    // harm.
    MixedEquations equations(fitted_->design, fitted_->active);
    const auto share_at = [&](const std::vector<double>& ratios) {
        equations.factorize(ratios);
        return mean_pair_variance(equations, equations.factor().inverse_diagonal(), columns, 1.0);
    };
    const std::vector<double> ratios = detail::active_ratios(fitted_->fit.components, fitted_->active);
    const double s2 = fitted_->residual_variance();
    const double variance = s2 * share_at(ratios);
    Vector gradient = Vector::Zero(fitted_->fit.covariance.rows());
    gradient[gradient.size() - 1] = variance / s2;
    std::size_t own = 0;
    for (std::size_t r = 0; r < fitted_->active.size(); ++r) {
        if (!fitted_->active[r])
            continue;
        std::vector<double> moved = ratios;
        const double step = 1e-5 * ratios[own];
        moved[own] += step;
        const double above = share_at(moved);
        moved[own] -= 2.0 * step;
        const double slope = (above - share_at(moved)) / (2.0 * step);
        gradient[static_cast<Eigen::Index>(r)] = -s2 * slope * ratios[own] / fitted_->fit.components[r];
        gradient[gradient.size() - 1] += slope * ratios[own];
        ++own;
    }
    return satterthwaite(variance, gradient, fitted_->fit.covariance);
}

std::vector<double> MixedFit::draw(std::uint64_t seed, std::uint64_t number) const {
    const MixedEquations& equations = *fitted_->equations;
    std::vector<double> normals(static_cast<std::size_t>(equations.size()));
    random_normals(seed, number, normals);
    const Vector noise =
        equations.factor().correlate(Eigen::Map<const Vector>(normals.data(), equations.size()));
    const double width = fitted_->design.scale * std::sqrt(fitted_->residual_variance());
    const Vector all = fitted_->coefficients + width * equations.spread(noise);
    return {all.data(), all.data() + all.size()};
}

} // namespace thresh::stats

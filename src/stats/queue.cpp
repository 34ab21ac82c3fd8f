// The score of a run is a sum over its places, so the best run is found in one pass (the largest sum of
// successive terms). Covariances get a ridge of 5 % of their diagonal: parts that add up to a whole make them
// nearly singular.
#include <thresh/stats/queue.hpp>
#include <thresh/stats/summary.hpp>

#include <Eigen/Dense>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace thresh::stats {
namespace {

using Matrix = Eigen::MatrixXd;
using Rows = std::vector<std::vector<double>>;

constexpr double kRidge = 0.05;
constexpr double kClip = 2.5;

std::vector<double> as_rows(const Matrix& matrix) {
    std::vector<double> rows;
    for (Eigen::Index i = 0; i < matrix.rows(); ++i)
        for (Eigen::Index j = 0; j < matrix.cols(); ++j)
            rows.push_back(matrix(i, j));
    return rows;
}

double quadratic(const std::vector<double>& form, std::span<const double> x) {
    double sum = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        double row = 0.0;
        for (std::size_t j = 0; j < x.size(); ++j)
            row += form[i * x.size() + j] * x[j];
        sum += x[i] * row;
    }
    return sum;
}

// Second moments about 0 of rows clipped at `clip` times each variable's scale.
Matrix moments(const Rows& rows, const std::vector<double>& scale, double clip) {
    const auto n = static_cast<Eigen::Index>(scale.size());
    Matrix sum = Matrix::Zero(n, n);
    Eigen::VectorXd x(n);
    for (const auto& row : rows) {
        for (Eigen::Index i = 0; i < n; ++i) {
            const double most = clip * scale[static_cast<std::size_t>(i)];
            x[i] = std::clamp(row[static_cast<std::size_t>(i)], -most, most);
        }
        sum += x * x.transpose();
    }
    sum /= static_cast<double>(rows.size());
    sum.diagonal() *= 1.0 + kRidge;
    return sum;
}

// 1.4826 times the median of the sizes; 0 when a variable does not vary.
std::vector<double> scales(const Rows& rows) {
    std::vector<double> found, sizes(rows.size());
    for (std::size_t i = 0; i < rows.front().size(); ++i) {
        for (std::size_t r = 0; r < rows.size(); ++r)
            sizes[r] = std::abs(rows[r][i]);
        found.push_back(1.4826 * *median(sizes));
    }
    return found;
}

double log_determinant(const Matrix& matrix) {
    const Eigen::LLT<Matrix> factor(matrix);
    double sum = 0.0;
    for (Eigen::Index i = 0; i < matrix.rows(); ++i)
        sum += 2.0 * std::log(factor.matrixLLT()(i, i));
    return sum;
}

Matrix inverse(const Matrix& matrix) {
    return matrix.llt().solve(Matrix::Identity(matrix.rows(), matrix.cols()));
}

} // namespace

std::optional<ResidualShape> ResidualShape::of(const Rows& residuals) {
    if (residuals.size() < 12 || residuals.size() < 3 * residuals.front().size() || residuals.front().empty())
        return std::nullopt;
    const std::vector<double> scale = scales(residuals);
    if (std::any_of(scale.begin(), scale.end(), [](double s) { return s <= 0.0; }))
        return std::nullopt;
    ResidualShape shape;
    shape.n_ = scale.size();
    // Correlations from the clipped rows, variances from the robust scales.
    Matrix covariance = moments(residuals, scale, kClip);
    const Eigen::VectorXd sd = covariance.diagonal().cwiseSqrt();
    for (Eigen::Index i = 0; i < covariance.rows(); ++i)
        for (Eigen::Index j = 0; j < covariance.cols(); ++j)
            covariance(i, j) *=
                scale[static_cast<std::size_t>(i)] * scale[static_cast<std::size_t>(j)] / sd[i] / sd[j];
    shape.inverse_ = as_rows(inverse(covariance));
    return shape;
}

double ResidualShape::distance(std::span<const double> difference) const {
    assert(difference.size() == n_);
    return quadratic(inverse_, difference);
}

double ShiftSearch::distance(std::span<const double> seen, std::span<const double> predicted) {
    difference_.resize(seen.size());
    for (std::size_t i = 0; i < seen.size(); ++i)
        difference_[i] = seen[i] - predicted[i];
    return shape_.distance(difference_);
}

void ShiftSearch::add(const QueuePlace& place) {
    constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();
    Gains& gains = gains_.emplace_back(Gains{kNothing, kNothing});
    if (place.observed.empty() || place.predicted.empty() || (place.after.empty() && place.before.empty()))
        return;
    const double own = distance(place.observed, place.predicted);
    const auto gain = [&](std::span<const double> moved) {
        return std::clamp(0.5 * (own - distance(place.observed, moved)), -options_.cap, options_.cap) -
               options_.least;
    };
    if (!place.after.empty())
        gains.after = gain(place.after);
    if (!place.before.empty())
        gains.before = gain(place.before);
}

std::vector<ShiftedRun> ShiftSearch::runs() const {
    const double threshold =
        std::log(2.0 * static_cast<double>(std::max<std::size_t>(1, options_.places)) / options_.chance);
    std::vector<ShiftedRun> found;
    std::vector<bool> taken(gains_.size(), false);
    for (;;) {
        ShiftedRun best;
        for (const int shift : {1, -1}) {
            ShiftedRun run;
            run.shift = shift;
            for (std::size_t k = 0; k < gains_.size(); ++k) {
                if (taken[k]) {
                    run.score = 0.0;
                    continue;
                }
                const double gain = shift > 0 ? gains_[k].after : gains_[k].before;
                if (std::isnan(gain))
                    continue; // says nothing, and ends no run
                if (run.score <= 0.0) {
                    run.score = 0.0;
                    run.first = k;
                    run.witnesses = 0;
                }
                run.score += gain;
                ++run.witnesses;
                run.last = k;
                if (run.score > best.score && run.witnesses >= options_.fewest)
                    best = run;
            }
        }
        if (best.score <= threshold)
            return found;
        for (std::size_t k = best.first; k <= best.last; ++k)
            taken[k] = true;
        found.push_back(best);
    }
}

std::optional<SameCup> SameCup::of(const Rows& repeats, const Rows& neighbours) {
    if (repeats.empty() || neighbours.empty())
        return std::nullopt;
    const std::size_t n = repeats.front().size();
    if (n == 0 || repeats.size() < std::max<std::size_t>(kFewestRepeats, 3 * n) ||
        neighbours.size() < 2 * std::max<std::size_t>(kFewestRepeats, 3 * n))
        return std::nullopt;
    std::vector<double> scale = scales(repeats);
    if (std::any_of(scale.begin(), scale.end(), [](double s) { return s <= 0.0; }))
        return std::nullopt;
    SameCup model;
    model.n_ = n;
    const Matrix same = moments(repeats, scale, 4.0);
    const Matrix same_inverse = inverse(same);
    const std::vector<double> metric = as_rows(same_inverse);
    std::vector<std::pair<double, std::size_t>> order;
    for (std::size_t i = 0; i < neighbours.size(); ++i)
        order.emplace_back(quadratic(metric, neighbours[i]), i);
    std::sort(order.begin(), order.end());
    Rows closer;
    for (std::size_t i = 0; i < order.size() / 2; ++i)
        closer.push_back(neighbours[order[i].second]);
    const std::vector<double> wide(n, std::numeric_limits<double>::max() / 1e10);
    const Matrix apart = moments(closer, wide, 1.0);
    model.form_ = as_rows(same_inverse - inverse(apart));
    model.constant_ = 0.5 * (log_determinant(apart) - log_determinant(same));
    for (std::size_t i = 0; i < n; ++i)
        model.largest_.push_back(5.0 *
                                 std::sqrt(same(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(i))));
    return model;
}

double SameCup::log_ratio(std::span<const double> difference) const {
    assert(difference.size() == n_);
    return constant_ - 0.5 * quadratic(form_, difference);
}

} // namespace thresh::stats

// Average-information REML (Gilmour, Thompson and Cullis 1995; Johnson and Thompson 1995). The score comes
// from the diagonal of the inverse of the mixed model equations, the average information from one further
// solve for each component. A step that makes the criterion worse is halved; a component that shrinks below
// 1e-7 of the residual with the likelihood still rising towards 0 leaves the model, and comes back if the
// likelihood rises away from 0 once the others have settled. The average information is no exact Hessian:
// convergence is fast but not quadratic, and standard errors are asymptotic.
#include "stats/reml.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace thresh::stats {
namespace {

constexpr double boundary_ratio = 1e-7; // of the residual: below it a component may leave
constexpr double probe_ratio = 1e-5;    // of the residual: where a component that left is tried again

tl::unexpected<Error> without_remainder() {
    return fail("the model explains the data without remainder: the residual variance is 0",
                "check for values that were copied, or take an effect out of the model");
}

// Everything known at one set of components (active random factors, then the residual).
struct Point {
    std::vector<double> theta;
    double criterion = 0.0;
    Vector score; // of the log likelihood
    Matrix information;
};

class RemlSearch {
  public:
    RemlSearch(const Design& design, bool residual_known)
        : design_(design), known_(residual_known), active_(design.random.size(), true) {}

    Result<RemlFit> run(const MixedModel& model, const RemlOptions& options);

  private:
    std::vector<double> start(const MixedModel& model, const RemlOptions& options) const;
    void rebuild() { equations_ = std::make_unique<MixedEquations>(design_, active_); }
    std::optional<Point> evaluate(const std::vector<double>& theta);
    void differentiate(Point& point, const Vector& residual);
    Vector newton_step(const Point& point) const;
    Vector plain_step(const Point& point) const;
    std::optional<Point> advance(const Point& from, const Vector& step);
    bool drop_at_boundary(Point& point);
    bool readmit(Point& point);
    Result<RemlFit> report(const Point& point, bool converged, int steps);
    std::size_t free_count(const Point& point) const { return point.theta.size() - (known_ ? 1 : 0); }

    const Design& design_;
    bool known_;
    std::vector<bool> active_;
    std::vector<bool> readmitted_ = std::vector<bool>(design_.random.size(), false);
    std::unique_ptr<MixedEquations> equations_;
    Matrix working_, weighted_; // room that is used again in each step
    // Of the last evaluation.
    std::vector<double> theta_;
    Vector solution_, inverse_;
};

std::optional<Point> RemlSearch::evaluate(const std::vector<double>& theta) {
    const double residual_variance = theta.back();
    std::vector<double> ratios;
    for (std::size_t r = 0; r + 1 < theta.size(); ++r)
        ratios.push_back(residual_variance / theta[r]);
    if (!equations_->factorize(ratios))
        return std::nullopt;
    Point point;
    point.theta = theta;
    theta_ = theta;
    solution_ = equations_->factor().solve(equations_->right_side());
    const Vector& solution = solution_;
    const Vector residual = design_.y - equations_->columns() * solution;
    double quadratic = residual.cwiseAbs2().dot(design_.weights);
    double logs = 0.0;
    for (std::size_t r = 0; r < ratios.size(); ++r) {
        const ColumnRange range = equations_->random()[r];
        quadratic += ratios[r] * solution.segment(range.begin, range.size()).squaredNorm();
        logs += static_cast<double>(range.size()) * std::log(theta[r]);
    }
    const double n = static_cast<double>(design_.observations());
    const double p = static_cast<double>(design_.fixed_rank);
    point.criterion = (n - p) * std::log(2.0 * std::numbers::pi) + logs -
                      design_.weights.array().log().sum() +
                      (n - static_cast<double>(equations_->size())) * std::log(residual_variance) +
                      equations_->factor().log_determinant() + quadratic / residual_variance;
    if (!std::isfinite(point.criterion))
        return std::nullopt;
    inverse_ = equations_->factor().inverse_diagonal();
    differentiate(point, residual);
    return point;
}

// Score and average information. The information times the components is known without a solve, because
// the V_i P y add up to V P y: the residual's row follows from the others.
void RemlSearch::differentiate(Point& point, const Vector& residual) {
    const double s2 = point.theta.back();
    const auto last = static_cast<Eigen::Index>(point.theta.size()) - 1;
    const Eigen::Map<const Vector> theta(point.theta.data(), last + 1);
    point.score.resize(last + 1);
    Vector quadratic(last + 1);                    // y' P V_i P y
    working_.resize(design_.observations(), last); // V_i P y
    double used = static_cast<double>(design_.fixed_rank);
    for (Eigen::Index r = 0; r < last; ++r) {
        const ColumnRange range = equations_->random()[static_cast<std::size_t>(r)];
        const double q = static_cast<double>(range.size());
        const Vector effects = solution_.segment(range.begin, range.size()) / theta[r];
        const double shrunk = q - inverse_.segment(range.begin, range.size()).sum() * s2 / theta[r];
        used += shrunk;
        quadratic[r] = effects.squaredNorm();
        point.score[r] = -0.5 * (shrunk / theta[r] - quadratic[r]);
        working_.col(r).noalias() = equations_->columns().middleCols(range.begin, range.size()) * effects;
    }
    const double n = static_cast<double>(design_.observations());
    quadratic[last] = residual.cwiseAbs2().dot(design_.weights) / (s2 * s2);
    point.score[last] = -0.5 * ((n - used) / s2 - quadratic[last]);
    weighted_.noalias() = design_.weights.asDiagonal() * working_;
    const Matrix right = equations_->columns().transpose() * weighted_;
    const Matrix solved = equations_->factor().solve(right);
    Matrix& information = point.information;
    information.resize(last + 1, last + 1);
    information.topLeftCorner(last, last) =
        0.5 / s2 * (working_.transpose() * weighted_ - right.transpose() * solved);
    for (Eigen::Index r = 0; r <= last; ++r) {
        const double others = information.row(r).head(last).dot(theta.head(last));
        information(r, last) = information(last, r) = (0.5 * quadratic[r] - others) / s2;
    }
}

// Variance within the levels of a factor, pooled; of a response of unit variance. 1 when none repeats.
double within_levels(const Factor& factor, const Vector& y) {
    std::vector<double> sum(static_cast<std::size_t>(factor.levels), 0.0), count = sum;
    for (std::size_t i = 0; i < factor.level.size(); ++i) {
        const auto level = static_cast<std::size_t>(factor.level[i]);
        sum[level] += y[static_cast<Eigen::Index>(i)];
        count[level] += 1.0;
    }
    double squares = y.squaredNorm(), df = static_cast<double>(y.size());
    for (std::size_t level = 0; level < sum.size(); ++level)
        if (count[level] > 0.0) {
            squares -= sum[level] * sum[level] / count[level];
            df -= 1.0;
        }
    return df > 0.0 ? squares / df : 1.0;
}

// The residual from the factor within whose levels values differ least, the rest shared among the others.
std::vector<double> RemlSearch::start(const MixedModel& model, const RemlOptions& options) const {
    const double square = design_.scale * design_.scale;
    const double count = std::max<double>(1.0, static_cast<double>(active_.size()));
    std::vector<double> theta;
    if (options.start.size() == active_.size() + 1) {
        for (const double variance : options.start)
            theta.push_back(std::max(variance, 1e-4 * options.start.back()) / square);
    } else {
        double residual = 0.5;
        for (const Factor& factor : model.random)
            residual = std::min(residual, within_levels(factor, design_.y));
        residual = std::max(residual, 0.01);
        theta.assign(active_.size(), (1.0 - residual) / count);
        theta.push_back(residual);
    }
    if (known_)
        theta.back() = 1.0 / square;
    return theta;
}

Vector RemlSearch::newton_step(const Point& point) const {
    const auto count = static_cast<Eigen::Index>(free_count(point));
    Vector step = Vector::Zero(static_cast<Eigen::Index>(point.theta.size()));
    if (count == 0) // beside a known residual all components have left
        return step;
    // Scaled by the components themselves, so that the pivots compare.
    Vector scale(count);
    for (Eigen::Index i = 0; i < count; ++i)
        scale[i] = point.theta[static_cast<std::size_t>(i)];
    Matrix scaled = scale.asDiagonal() * point.information.topLeftCorner(count, count) * scale.asDiagonal();
    Vector slope = scale.cwiseProduct(point.score.head(count));
    // Where all effects of a factor are 0 the average information is 0 as well and says nothing about the
    // step: the component then shrinks or grows by its own size.
    for (Eigen::Index i = 0; i < count; ++i)
        if (scaled(i, i) < 1e-10) {
            scaled.row(i).setZero();
            scaled.col(i).setZero();
            scaled(i, i) = 1.0;
            slope[i] = slope[i] < 0.0 ? -1.0 : 1.0;
        }
    step.head(count) = scale.cwiseProduct(scaled.completeOrthogonalDecomposition().solve(slope));
    return step;
}

// Each component shrinks or grows by its own size. Where values vary far less than a known residual, the
// average information is rounding and Newton's step leads nowhere.
Vector RemlSearch::plain_step(const Point& point) const {
    Vector step = Vector::Zero(static_cast<Eigen::Index>(point.theta.size()));
    for (std::size_t i = 0; i < free_count(point); ++i) {
        const auto at = static_cast<Eigen::Index>(i);
        step[at] = point.score[at] < 0.0 ? -point.theta[i] : point.theta[i];
    }
    return step;
}

// Goes along the step, halved until the criterion does not grow; no component falls by more than nine tenths.
std::optional<Point> RemlSearch::advance(const Point& from, const Vector& step) {
    const double slack = 1e-9 * (1.0 + std::fabs(from.criterion));
    double part = 1.0;
    for (int halving = 0; halving < 30; ++halving, part *= 0.5) {
        std::vector<double> theta = from.theta;
        for (std::size_t i = 0; i < theta.size(); ++i)
            theta[i] = std::max(theta[i] + part * step[static_cast<Eigen::Index>(i)], 0.1 * theta[i]);
        auto point = evaluate(theta);
        if (point && point->criterion <= from.criterion + slack)
            return point;
    }
    return std::nullopt;
}

// Takes out the components that have come down to the boundary. True when the model changed.
bool RemlSearch::drop_at_boundary(Point& point) {
    std::vector<double> kept;
    std::size_t own = 0;
    bool changed = false;
    for (std::size_t r = 0; r < active_.size(); ++r) {
        if (!active_[r])
            continue;
        const bool gone = point.theta[own] < boundary_ratio * point.theta.back() &&
                          point.score[static_cast<Eigen::Index>(own)] < 0.0;
        if (gone) {
            active_[r] = false;
            changed = true;
        } else {
            kept.push_back(point.theta[own]);
        }
        ++own;
    }
    if (!changed)
        return false;
    kept.push_back(point.theta.back());
    rebuild();
    if (auto next = evaluate(kept))
        point = *next;
    return true;
}

// Tries each component that left, once, a little inside the boundary. True when one came back.
bool RemlSearch::readmit(Point& point) {
    for (std::size_t r = 0; r < active_.size(); ++r) {
        if (active_[r] || readmitted_[r])
            continue;
        std::size_t own = 0;
        for (std::size_t before = 0; before < r; ++before)
            own += active_[before] ? 1 : 0;
        std::vector<double> theta = point.theta;
        theta.insert(theta.begin() + static_cast<std::ptrdiff_t>(own), probe_ratio * point.theta.back());
        active_[r] = true;
        rebuild();
        const auto probe = evaluate(theta);
        if (probe && probe->score[static_cast<Eigen::Index>(own)] > 0.0) {
            readmitted_[r] = true;
            point = *probe;
            return true;
        }
        active_[r] = false;
        rebuild();
        if (auto back = evaluate(point.theta))
            point = *back;
    }
    return false;
}

Result<RemlFit> RemlSearch::report(const Point& point, bool converged, int steps) {
    RemlFit fit;
    fit.criterion = point.criterion;
    fit.converged = converged;
    fit.steps = steps;
    if (theta_ != point.theta) // the last one that was tried was not taken
        evaluate(point.theta);
    fit.equations = std::move(equations_);
    fit.solution = std::move(solution_);
    fit.inverse_diagonal = std::move(inverse_);
    const auto total = static_cast<Eigen::Index>(active_.size() + 1);
    fit.covariance = Matrix::Zero(total, total);
    std::vector<Eigen::Index> free;
    std::size_t own = 0;
    for (std::size_t r = 0; r < active_.size(); ++r) {
        fit.at_boundary.push_back(!active_[r]);
        fit.components.push_back(active_[r] ? point.theta[own++] : 0.0);
        if (active_[r])
            free.push_back(static_cast<Eigen::Index>(r));
    }
    fit.components.push_back(point.theta.back());
    if (!known_)
        free.push_back(total - 1);
    const auto count = static_cast<Eigen::Index>(free.size());
    if (count == 0)
        return fit;
    Vector scale(count);
    for (Eigen::Index i = 0; i < count; ++i)
        scale[i] = point.theta[static_cast<std::size_t>(i)];
    const Matrix scaled =
        scale.asDiagonal() * point.information.topLeftCorner(count, count) * scale.asDiagonal();
    const Eigen::SelfAdjointEigenSolver<Matrix> spectrum(scaled);
    const double most = spectrum.eigenvalues().maxCoeff();
    if (most < 1e-20 ||
        spectrum.eigenvalues().minCoeff() < 1e-10 * most) // none at all, or of one among others
        return fail("the variance components cannot be told apart in these data",
                    "take a random effect out of the model");
    const Matrix covariance = scale.asDiagonal() * scaled.inverse() * scale.asDiagonal();
    for (Eigen::Index i = 0; i < count; ++i)
        for (Eigen::Index j = 0; j < count; ++j)
            fit.covariance(free[static_cast<std::size_t>(i)], free[static_cast<std::size_t>(j)]) =
                covariance(i, j);
    return fit;
}

Result<RemlFit> RemlSearch::run(const MixedModel& model, const RemlOptions& options) {
    // Copied plots: no step leads on from where all information is about the others.
    for (const Factor& factor : model.random)
        if (!known_ && within_levels(factor, design_.y) < 1e-12)
            return without_remainder();
    rebuild();
    auto first = evaluate(start(model, options));
    if (!first)
        return fail("the equations of the model cannot be solved", "take an effect out of the model");
    Point point = *first;
    if (free_count(point) == 0)
        return report(point, true, 0);
    if (design_.fixed_rank >= design_.observations()) // beside a known residual
        return fail("the fixed effects use up all observations: no variance component can be estimated",
                    "replicate, or take an effect out of the model");
    bool settled = false;
    int steps = 0;
    double smallest = HUGE_VAL;
    int stalled = 0;
    while (!settled && steps < options.max_steps) {
        ++steps;
        const Vector step = newton_step(point);
        double relative = 0.0;
        for (std::size_t i = 0; i < free_count(point); ++i)
            relative = std::max(relative, std::fabs(step[static_cast<Eigen::Index>(i)]) / point.theta[i]);
        // Steps shrink by about the same share each time: what is left after this one is as much smaller
        // again.
        const double left = std::isinf(smallest) ? relative : relative * std::min(1.0, relative / smallest);
        stalled = relative < 0.5 * smallest ? 0 : stalled + 1;
        smallest = std::min(smallest, relative);
        // A step this small changes nothing that is reported: it is not taken.
        auto next = relative < options.tolerance ? std::optional(point) : advance(point, step);
        if (!next && relative >= 1e-7)
            next = advance(point, plain_step(point));
        const bool at_rest = left < options.tolerance || (relative < 1e-7 && (stalled >= 3 || !next));
        if (!next && !at_rest)
            break;
        if (next)
            point = *next;
        if (!known_ && point.theta.back() < 1e-12)
            return without_remainder();
        if (drop_at_boundary(point) || (at_rest && readmit(point))) {
            smallest = HUGE_VAL;
            stalled = 0;
            continue;
        }
        settled = at_rest;
    }
    return report(point, settled, steps);
}

} // namespace

Result<RemlFit> reml(const Design& design, const MixedModel& model, const RemlOptions& options) {
    return RemlSearch(design, model.residual_known).run(model, options);
}

} // namespace thresh::stats

// Redundant fixed columns are found by factorising X'WX, scaled to unit diagonal, with a ridge of 1e-12: a
// column that others explain keeps a pivot of that size, any other one a pivot far above. Redundancy finer
// than 1e-9 of a column's size is not seen as such. Which of several dependent columns is dropped follows the
// elimination order; no estimable quantity depends on it.
#include "stats/mixed_equations.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>
#include <thresh/stats/summary.hpp>

namespace thresh::stats {
namespace {

std::optional<Error> check_sizes(const MixedModel& model) {
    const auto wrong = [&](const std::string& name) {
        return Error{
            "`" + name + "` does not have one value an observation", "give equally long columns", {}, 0, 0};
    };
    const std::size_t n = model.y.size();
    if (n == 0)
        return Error{"there is no observation to fit a model to", "check which values are used", {}, 0, 0};
    if (!std::all_of(model.y.begin(), model.y.end(), [](double v) { return std::isfinite(v); }))
        return Error{"a value is not a finite number", "leave out missing values", {}, 0, 0};
    if (!model.weights.empty() && model.weights.size() != n)
        return wrong("weights");
    if (!std::all_of(model.weights.begin(), model.weights.end(),
                     [](double w) { return std::isfinite(w) && w > 0; }))
        return Error{"a weight is not a positive number", "leave out observations without weight", {}, 0, 0};
    for (const Covariate& covariate : model.covariates)
        if (covariate.value.size() != n)
            return wrong(covariate.name);
    for (const auto* factors : {&model.fixed, &model.random})
        for (const Factor& factor : *factors) {
            if (factor.level.size() != n)
                return wrong(factor.name);
            if (!std::all_of(factor.level.begin(), factor.level.end(),
                             [&](int level) { return level >= 0 && level < factor.levels; }))
                return Error{
                    "`" + factor.name + "` has a code outside its levels", "number levels from 0", {}, 0, 0};
        }
    return std::nullopt;
}

// A random factor whose levels are the observations themselves, or are those of another factor, or are told
// by a fixed factor, has no variance of its own to estimate.
std::optional<Error> check_separable(const MixedModel& model) {
    Factor unit{"residual", {}, static_cast<int>(model.y.size())};
    for (int i = 0; i < unit.levels; ++i)
        unit.level.push_back(i);
    for (std::size_t r = 0; r < model.random.size(); ++r) {
        const Factor& random = model.random[r];
        const auto cannot = [&](const std::string& other) {
            return Error{"the variance of `" + random.name + "` cannot be told apart from " + other,
                         "leave `" + random.name + "` out of the model",
                         {},
                         0,
                         0};
        };
        Factor whole{"", std::vector<int>(random.level.size(), 0), 1};
        if (nested_in(whole, random))
            return Error{"`" + random.name + "` has a single level", "leave it out of the model", {}, 0, 0};
        if (!model.residual_known && nested_in(random, unit))
            return cannot("the residual: each of its levels has one observation");
        for (const Factor& fixed : model.fixed)
            if (nested_in(fixed, random))
                return cannot("the fixed effects of `" + fixed.name + "`");
        for (std::size_t other = 0; other < r; ++other)
            if (nested_in(random, model.random[other]) && nested_in(model.random[other], random))
                return cannot("that of `" + model.random[other].name + "`: they group the data alike");
    }
    return std::nullopt;
}

// Builds a sparse matrix column by column, each with its rows in ascending order.
class ColumnWriter {
  public:
    ColumnWriter(Eigen::Index rows, std::size_t entries) : rows_(rows) {
        row_.reserve(entries);
        value_.reserve(entries);
    }
    void add(int row, double value) {
        row_.push_back(row);
        value_.push_back(value);
    }
    void end_column() { start_.push_back(static_cast<int>(row_.size())); }
    Eigen::Index columns() const { return static_cast<Eigen::Index>(start_.size()) - 1; }
    SparseMatrix matrix() const {
        SparseMatrix made(rows_, columns());
        made.resizeNonZeros(static_cast<Eigen::Index>(row_.size()));
        std::copy(start_.begin(), start_.end(), made.outerIndexPtr());
        std::copy(row_.begin(), row_.end(), made.innerIndexPtr());
        std::copy(value_.begin(), value_.end(), made.valuePtr());
        return made;
    }

  private:
    Eigen::Index rows_;
    std::vector<int> start_{0}, row_;
    std::vector<double> value_;
};

ColumnRange append_factor(const Factor& factor, ColumnWriter& writer) {
    const ColumnRange range{writer.columns(), writer.columns() + factor.levels};
    // Observations by level: counted first, so that each finds its place.
    std::vector<int> next(static_cast<std::size_t>(factor.levels) + 1, 0);
    for (int level : factor.level)
        ++next[static_cast<std::size_t>(level) + 1];
    std::partial_sum(next.begin(), next.end(), next.begin());
    const std::vector<int> start = next;
    std::vector<int> rows(factor.level.size());
    for (std::size_t i = 0; i < rows.size(); ++i)
        rows[static_cast<std::size_t>(next[static_cast<std::size_t>(factor.level[i])]++)] =
            static_cast<int>(i);
    for (std::size_t level = 0; level + 1 < start.size(); ++level) {
        for (int k = start[level]; k < start[level + 1]; ++k)
            writer.add(rows[static_cast<std::size_t>(k)], 1.0);
        writer.end_column();
    }
    return range;
}

// Lower triangle of T' W T, with a place for every element of the diagonal.
SparseMatrix lower_cross_products(const SparseMatrix& columns, const Vector& weights) {
    const Eigen::SparseMatrix<double, Eigen::RowMajor> rows = columns;
    ColumnWriter writer(columns.cols(), static_cast<std::size_t>(columns.nonZeros()));
    std::vector<double> sum(static_cast<std::size_t>(columns.cols()), 0.0);
    std::vector<bool> touched(sum.size(), false);
    std::vector<int> found;
    for (int j = 0; j < static_cast<int>(columns.cols()); ++j) {
        found.assign(1, j);
        touched[static_cast<std::size_t>(j)] = true;
        for (SparseMatrix::InnerIterator at(columns, j); at; ++at) {
            const double weighted = at.value() * weights[at.row()];
            for (Eigen::SparseMatrix<double, Eigen::RowMajor>::InnerIterator other(rows, at.row()); other;
                 ++other) {
                const auto k = static_cast<std::size_t>(other.col());
                if (other.col() < j)
                    continue;
                if (!touched[k]) {
                    touched[k] = true;
                    found.push_back(static_cast<int>(k));
                }
                sum[k] += weighted * other.value();
            }
        }
        std::sort(found.begin(), found.end());
        for (int k : found) {
            const auto at = static_cast<std::size_t>(k);
            writer.add(k, sum[at]);
            sum[at] = 0.0;
            touched[at] = false;
        }
        writer.end_column();
    }
    return writer.matrix();
}

void find_redundant(Design& design) {
    const SparseMatrix x = design.matrix.leftCols(design.fixed_columns);
    const SparseMatrix cross = lower_cross_products(x, design.weights);
    Vector size = cross.diagonal().cwiseSqrt();
    for (Eigen::Index j = 0; j < size.size(); ++j)
        if (size[j] <= 0.0)
            size[j] = 1.0; // a level without observation: an empty column
    const Vector inverse_size = size.cwiseInverse();
    SparseMatrix scaled = inverse_size.asDiagonal() * cross * inverse_size.asDiagonal();
    SparseMatrix ridge(scaled.rows(), scaled.cols());
    ridge.setIdentity();
    scaled += 1e-12 * ridge;
    SparseFactor factor;
    factor.analyze(scaled);
    factor.factorize(scaled);
    const Vector pivots = factor.pivots();
    design.redundant.assign(static_cast<std::size_t>(design.fixed_columns), false);
    for (Eigen::Index j = 0; j < design.fixed_columns; ++j)
        if (!(pivots[j] > 1e-9)) {
            design.redundant[static_cast<std::size_t>(j)] = true;
            design.redundant_column.push_back(j);
        }
    design.fixed_rank = design.fixed_columns - static_cast<Eigen::Index>(design.redundant_column.size());
}

// How each redundant column follows from the kept ones.
void find_dependence(Design& design) {
    const std::vector<bool> none(design.random.size(), false);
    MixedEquations kept(design, none);
    design.dependence =
        Matrix::Zero(design.fixed_columns, static_cast<Eigen::Index>(design.redundant_column.size()));
    if (design.redundant_column.empty() || !kept.factorize({}))
        return;
    for (std::size_t r = 0; r < design.redundant_column.size(); ++r) {
        const Vector column = design.matrix.col(design.redundant_column[r]);
        const Vector right = kept.columns().transpose() * design.weights.cwiseProduct(column);
        design.dependence.col(static_cast<Eigen::Index>(r)) =
            kept.spread(kept.factor().solve(right)).head(design.fixed_columns);
    }
}

void centre_and_scale(const MixedModel& model, Design& design) {
    design.y = Eigen::Map<const Vector>(model.y.data(), static_cast<Eigen::Index>(model.y.size()));
    design.weights = model.weights.empty()
                         ? Vector::Ones(design.y.size()).eval()
                         : Vector(Eigen::Map<const Vector>(model.weights.data(), design.y.size()));
    design.centre = *mean(model.y);
    design.scale = standard_deviation(model.y).value_or(0.0);
    if (design.scale > 0.0)
        design.y = ((design.y.array() - design.centre) / design.scale).matrix();
}

} // namespace

Result<Design> make_design(const MixedModel& model) {
    if (auto error = check_sizes(model))
        return tl::unexpected<Error>(*error);
    Design design;
    centre_and_scale(model, design);
    if (design.scale <= 1e-13 * std::fabs(design.centre))
        return fail("all values are equal: there is no variation to divide", "nothing can be estimated here");
    if (auto error = check_separable(model))
        return tl::unexpected<Error>(*error);
    const auto n = static_cast<int>(model.y.size());
    const std::size_t terms = 1 + model.covariates.size() + model.fixed.size() + model.random.size();
    ColumnWriter writer(n, terms * model.y.size());
    for (int i = 0; i < n; ++i)
        writer.add(i, 1.0);
    writer.end_column();
    for (const Covariate& covariate : model.covariates) {
        design.covariates.push_back({writer.columns(), writer.columns() + 1});
        for (int i = 0; i < n; ++i)
            writer.add(i, covariate.value[static_cast<std::size_t>(i)]);
        writer.end_column();
    }
    for (const Factor& factor : model.fixed)
        design.fixed.push_back(append_factor(factor, writer));
    design.fixed_columns = writer.columns();
    for (const Factor& factor : model.random)
        design.random.push_back(append_factor(factor, writer));
    design.matrix = writer.matrix();
    find_redundant(design);
    find_dependence(design);
    if (!model.residual_known && design.fixed_rank >= design.observations())
        return fail("the fixed effects use up all observations: no residual is left",
                    "replicate, or take an effect out of the model");
    return design;
}

MixedEquations::MixedEquations(const Design& design, const std::vector<bool>& active)
    : place_(static_cast<std::size_t>(design.matrix.cols()), -1) {
    std::vector<Eigen::Index> taken;
    for (Eigen::Index j = 0; j < design.fixed_columns; ++j)
        if (!design.redundant[static_cast<std::size_t>(j)])
            taken.push_back(j);
    for (std::size_t r = 0; r < design.random.size(); ++r) {
        if (!active[r])
            continue;
        const auto begin = static_cast<Eigen::Index>(taken.size());
        for (Eigen::Index j = design.random[r].begin; j < design.random[r].end; ++j)
            taken.push_back(j);
        random_.push_back({begin, static_cast<Eigen::Index>(taken.size())});
    }
    ColumnWriter writer(design.matrix.rows(), static_cast<std::size_t>(design.matrix.nonZeros()));
    for (std::size_t k = 0; k < taken.size(); ++k) {
        place_[static_cast<std::size_t>(taken[k])] = static_cast<Eigen::Index>(k);
        for (SparseMatrix::InnerIterator it(design.matrix, taken[k]); it; ++it)
            writer.add(static_cast<int>(it.row()), it.value());
        writer.end_column();
    }
    columns_ = writer.matrix();
    cross_products_ = lower_cross_products(columns_, design.weights);
    right_side_ = columns_.transpose() * design.weights.cwiseProduct(design.y);
    for (Eigen::Index j = 0; j < cross_products_.cols(); ++j)
        diagonal_.push_back(cross_products_.outerIndexPtr()[j]); // rows ascend from the diagonal
    system_ = cross_products_;
    factor_.analyze(cross_products_);
}

bool MixedEquations::factorize(const std::vector<double>& ratios) {
    assert(ratios.size() == random_.size());
    for (std::size_t r = 0; r < ratios.size(); ++r)
        for (Eigen::Index j = random_[r].begin; j < random_[r].end; ++j) {
            const Eigen::Index at = diagonal_[static_cast<std::size_t>(j)];
            system_.valuePtr()[at] = cross_products_.valuePtr()[at] + ratios[r];
        }
    return factor_.factorize(system_);
}

Vector MixedEquations::spread(const Vector& own) const {
    Vector all = Vector::Zero(static_cast<Eigen::Index>(place_.size()));
    for (std::size_t j = 0; j < place_.size(); ++j)
        if (place_[j] >= 0)
            all[static_cast<Eigen::Index>(j)] = own[place_[j]];
    return all;
}

Vector MixedEquations::gather(const Vector& all) const {
    Vector own = Vector::Zero(size());
    for (std::size_t j = 0; j < place_.size(); ++j)
        if (place_[j] >= 0)
            own[place_[j]] = all[static_cast<Eigen::Index>(j)];
    return own;
}

} // namespace thresh::stats

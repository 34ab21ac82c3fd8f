// Henderson's mixed model equations of one model: the design, what is redundant in it, and the system at
// given variance components. Private to stats.
#pragma once

#include "stats/sparse_factor.hpp"

#include <optional>
#include <thresh/core/result.hpp>
#include <thresh/stats/mixed_model.hpp>
#include <vector>

namespace thresh::stats {

// Columns [begin, end) of the design that belong to one term.
struct ColumnRange {
    Eigen::Index begin = 0;
    Eigen::Index end = 0;
    Eigen::Index size() const { return end - begin; }
};

// The design of a model. `y` is centred and scaled to unit variance, which spares digits: multiply by `scale`
// and add `centre` to the intercept to come back.
struct Design {
    SparseMatrix matrix; // all columns: intercept, covariates, fixed factors, random factors
    Vector y;
    Vector weights;
    double centre = 0.0;
    double scale = 1.0;
    std::vector<ColumnRange> covariates;
    std::vector<ColumnRange> fixed;
    std::vector<ColumnRange> random;
    Eigen::Index fixed_columns = 0;
    std::vector<bool> redundant;                // of the fixed columns
    std::vector<Eigen::Index> redundant_column; // the same as a list
    Matrix dependence; // column r: the redundant column r as a combination of the fixed columns that are kept
    Eigen::Index fixed_rank = 0;

    Eigen::Index observations() const { return y.size(); }
};

// Errors as told in mixed_model.hpp.
Result<Design> make_design(const MixedModel& model);

// Equations for those columns that take part: kept fixed columns and the random factors flagged as active.
// Everything is multiplied by the residual variance, so that components enter as ratios on the diagonal only.
class MixedEquations {
  public:
    MixedEquations(const Design& design, const std::vector<bool>& active);

    // Factorises at ratios residual / component, one for each active factor in order. False when that fails.
    bool factorize(const std::vector<double>& ratios);

    const SparseFactor& factor() const { return factor_; }
    const SparseMatrix& cross_products() const { return cross_products_; } // lower triangle of T' W T
    const SparseMatrix& columns() const { return columns_; }               // T
    const Vector& right_side() const { return right_side_; }               // T' W y
    const std::vector<ColumnRange>& random() const { return random_; }     // active factors, own numbering
    // Position of a design column in this system, -1 when it takes no part.
    Eigen::Index place(Eigen::Index column) const { return place_[static_cast<std::size_t>(column)]; }
    Eigen::Index size() const { return right_side_.size(); }
    // A vector over all design columns, 0 where a column takes no part.
    Vector spread(const Vector& own) const;
    Vector gather(const Vector& all) const;

  private:
    SparseMatrix columns_;
    SparseMatrix cross_products_;
    SparseMatrix system_;                // cross products with the ratios of the last factorisation
    std::vector<Eigen::Index> diagonal_; // where the stored values of both hold it
    Vector right_side_;
    std::vector<Eigen::Index> place_;
    std::vector<ColumnRange> random_;
    SparseFactor factor_;
};

} // namespace thresh::stats

// The recursion runs through the columns of L from the last to the first. Entry (i, k) of the inverse is
// needed only where L has an entry, and there the needed neighbours have been computed already, so that
// nothing outside the pattern is ever touched. The last columns, where L is nearly full, are inverted as one
// dense matrix, which is many times faster. Work grows as that of the factorisation.
#include "stats/sparse_factor.hpp"

#include <algorithm>
#include <numeric>
#include <utility>
#include <vector>

namespace thresh::stats {
namespace {

using Index = Eigen::Index;

// Inverse of L D L' on the pattern of L.
class SelectedInverse {
  public:
    // Both must outlive this.
    SelectedInverse(const SparseMatrix& lower, const Vector& pivots)
        : lower_(lower), pivots_(pivots), size_(pivots_.size()), tail_(dense_from()),
          inverse_(static_cast<std::size_t>(lower_.nonZeros()), 0.0), diagonal_(size_),
          place_(static_cast<std::size_t>(size_), -1) {
        invert_tail();
        for (Index j = tail_ - 1; j >= 0; --j)
            invert_column(j);
    }

    const Vector& diagonal() const { return diagonal_; }

  private:
    // First stored entry below the diagonal of a column.
    int first(Index j) const {
        const int from = lower_.outerIndexPtr()[j];
        const bool own = from < lower_.outerIndexPtr()[j + 1] && lower_.innerIndexPtr()[from] == j;
        return own ? from + 1 : from;
    }

    // Where the part begins that is treated as full: at least 60 % filled, at most 4,000 columns.
    Index dense_from() const {
        Index best = size_;
        double filled = 0.0;
        for (Index j = size_ - 1; j >= 0 && size_ - j <= 4000; --j) {
            filled += 1.0 + static_cast<double>(lower_.outerIndexPtr()[j + 1] - first(j));
            const double width = static_cast<double>(size_ - j);
            if (filled > 0.6 * 0.5 * width * (width + 1.0))
                best = j;
        }
        return best;
    }

    void invert_tail() {
        const Index width = size_ - tail_;
        Matrix dense = Matrix::Identity(width, width);
        for (Index j = tail_; j < size_; ++j)
            for (int a = first(j); a < lower_.outerIndexPtr()[j + 1]; ++a)
                dense(lower_.innerIndexPtr()[a] - tail_, j - tail_) = lower_.valuePtr()[a];
        Matrix root = Matrix::Identity(width, width);
        dense.triangularView<Eigen::UnitLower>().solveInPlace(root);
        root = pivots_.tail(width).cwiseSqrt().cwiseInverse().asDiagonal() * root;
        full_.setZero(width, width);
        full_.selfadjointView<Eigen::Lower>().rankUpdate(root.transpose());
        full_ = full_.selfadjointView<Eigen::Lower>();
        diagonal_.tail(width) = full_.diagonal();
    }

    void invert_column(Index j) {
        const int from = first(j);
        const int to = lower_.outerIndexPtr()[j + 1];
        const int* row = lower_.innerIndexPtr();
        const double* value = lower_.valuePtr();
        sums_.assign(static_cast<std::size_t>(to - from), 0.0);
        int tail_from = to; // rows ascend: entries from here on lie in the dense part
        while (tail_from > from && row[tail_from - 1] >= tail_)
            --tail_from;
        for (int a = from; a < to; ++a)
            place_[static_cast<std::size_t>(row[a])] = a - from;
        for (int a = from; a < tail_from; ++a)
            add_sparse(a, from);
        for (int a = tail_from; a < to; ++a) {
            const double* column = full_.data() + (row[a] - tail_) * full_.rows();
            double sum = 0.0;
            for (int b = tail_from; b < to; ++b)
                sum += value[b] * column[row[b] - tail_];
            sums_[static_cast<std::size_t>(a - from)] += sum;
        }
        double corner = 1.0 / pivots_[j];
        for (int a = from; a < to; ++a) {
            const double entry = -sums_[static_cast<std::size_t>(a - from)];
            inverse_[static_cast<std::size_t>(a)] = entry;
            corner -= value[a] * entry;
            place_[static_cast<std::size_t>(row[a])] = -1;
        }
        diagonal_[j] = corner;
    }

    // What column k = row[a] of the inverse, outside the dense part, adds to the sums of the present column.
    void add_sparse(int a, int from) {
        const int* row = lower_.innerIndexPtr();
        const double* value = lower_.valuePtr();
        const int k = row[a];
        double own = value[a] * diagonal_[k];
        for (int b = first(k); b < lower_.outerIndexPtr()[k + 1]; ++b) {
            const int slot = place_[static_cast<std::size_t>(row[b])];
            if (slot < 0)
                continue;
            const double entry = inverse_[static_cast<std::size_t>(b)];
            sums_[static_cast<std::size_t>(slot)] += value[a] * entry;
            own += value[from + slot] * entry;
        }
        sums_[static_cast<std::size_t>(a - from)] += own;
    }

    const SparseMatrix& lower_;
    const Vector& pivots_;
    Index size_;
    Index tail_;
    Matrix full_;                 // inverse of the dense part
    std::vector<double> inverse_; // on the pattern of L, before the dense part
    Vector diagonal_;
    std::vector<int> place_; // of a row in the present column, -1 elsewhere
    std::vector<double> sums_;
};

} // namespace

void SparseFactor::analyze(const SparseMatrix& matrix) {
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> inverse;
    Eigen::AMDOrdering<int>()(matrix.selfadjointView<Eigen::Lower>(), inverse);
    order_ = inverse.inverse();
    // Where each stored value goes: the larger of its two new places is its column.
    const auto size = static_cast<std::size_t>(matrix.cols());
    const auto each = [&](auto&& take) {
        for (int j = 0; j < static_cast<int>(matrix.cols()); ++j)
            for (int at = matrix.outerIndexPtr()[j]; at < matrix.outerIndexPtr()[j + 1]; ++at)
                if (const int i = matrix.innerIndexPtr()[at]; i >= j)
                    take(std::minmax(order_.indices()[i], order_.indices()[j]), at);
    };
    std::vector<int> next(size + 1, 0);
    each([&](std::pair<int, int> place, int) { ++next[static_cast<std::size_t>(place.second) + 1]; });
    std::partial_sum(next.begin(), next.end(), next.begin());
    ordered_.resize(matrix.rows(), matrix.cols());
    ordered_.resizeNonZeros(next.back());
    std::copy(next.begin(), next.end(), ordered_.outerIndexPtr());
    from_.resize(static_cast<std::size_t>(next.back()));
    each([&](std::pair<int, int> place, int at) {
        const int slot = next[static_cast<std::size_t>(place.second)]++;
        ordered_.innerIndexPtr()[slot] = place.first;
        from_[static_cast<std::size_t>(slot)] = at;
    });
    factor_.analyzePattern(ordered_);
}

bool SparseFactor::factorize(const SparseMatrix& matrix) {
    for (std::size_t k = 0; k < from_.size(); ++k)
        ordered_.valuePtr()[k] = matrix.valuePtr()[from_[k]];
    factor_.factorize(ordered_);
    return factor_.info() == Eigen::Success && factor_.vectorD().minCoeff() > 0.0;
}

Vector SparseFactor::inverse_diagonal() const {
    const auto triangle = factor_.matrixL(); // looks at the factor, copies nothing
    const Vector pivots = factor_.vectorD();
    const SelectedInverse inverse(triangle.nestedExpression(), pivots);
    return order_.inverse() * inverse.diagonal();
}

Vector SparseFactor::correlate(const Vector& normals) const {
    const Vector scaled = (normals.array() / factor_.vectorD().array().sqrt()).matrix();
    return order_.inverse() * factor_.matrixU().solve(scaled);
}

} // namespace thresh::stats

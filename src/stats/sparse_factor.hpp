// Sparse symmetric factorisation with the two things that mixed models need beyond solving: the diagonal of
// the inverse and draws from the normal distribution whose precision is the matrix. Private to stats; the
// only header that names Eigen.
#pragma once

#define EIGEN_MPL2_ONLY
#include <Eigen/Dense>
#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>
#include <vector>

namespace thresh::stats {

using SparseMatrix = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

class SparseFactor {
  public:
    // Order for a pattern; needed before the first factorisation and when the pattern changes. Compressed.
    void analyze(const SparseMatrix& matrix);
    // Factor L D L' of a symmetric matrix given in full or as its lower triangle. False when it is not
    // positive definite.
    bool factorize(const SparseMatrix& matrix);

    Vector solve(const Vector& right) const {
        return order_.inverse() * factor_.solve((order_ * right).eval()).eval();
    }
    Matrix solve(const Matrix& right) const {
        return order_.inverse() * factor_.solve((order_ * right).eval()).eval();
    }
    double log_determinant() const { return factor_.vectorD().array().log().sum(); }
    // Pivots in the order of the matrix's columns.
    Vector pivots() const { return order_.inverse() * factor_.vectorD(); }
    // Diagonal of the inverse, by the recursion of Takahashi, Fagan and Chen (1973) on the pattern of L.
    Vector inverse_diagonal() const;
    // For independent standard normals, a vector with the inverse as its covariance.
    Vector correlate(const Vector& normals) const;

  private:
    // The matrix is put in order by us, once for its pattern; the factorisation then copies nothing.
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> order_;
    SparseMatrix ordered_;  // upper triangle in that order
    std::vector<int> from_; // which stored value of the matrix each of its values is
    Eigen::SimplicialLDLT<SparseMatrix, Eigen::Upper, Eigen::NaturalOrdering<int>> factor_;
};

} // namespace thresh::stats

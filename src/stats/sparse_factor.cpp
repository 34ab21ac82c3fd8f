// The recursion runs through the columns of L from the last to the first. Entry (i, k) of the inverse is
// needed only where L has an entry, and there the needed neighbours have been computed already, so that
// nothing outside the pattern is ever touched. Work grows as that of the factorisation.
#include "stats/sparse_factor.hpp"

namespace thresh::stats {

bool SparseFactor::factorize(const SparseMatrix& matrix) {
    factor_.factorize(matrix);
    return factor_.info() == Eigen::Success && factor_.vectorD().minCoeff() > 0.0;
}

Vector SparseFactor::inverse_diagonal() const {
    const SparseMatrix lower = factor_.matrixL(); // unit diagonal, stored or not
    const Vector d = factor_.vectorD();
    const Eigen::Index n = d.size();
    std::vector<double> inverse(static_cast<std::size_t>(lower.nonZeros()), 0.0); // on the pattern of `lower`
    Vector diagonal(n);
    std::vector<int> place(static_cast<std::size_t>(n), -1);
    std::vector<double> sums;
    const auto* outer = lower.outerIndexPtr();
    const auto* inner = lower.innerIndexPtr();
    const double* value = lower.valuePtr();
    for (Eigen::Index j = n - 1; j >= 0; --j) {
        int from = outer[j];
        const int to = outer[j + 1];
        if (from < to && inner[from] == j)
            ++from;
        sums.assign(static_cast<std::size_t>(to - from), 0.0);
        for (int a = from; a < to; ++a)
            place[static_cast<std::size_t>(inner[a])] = a - from;
        for (int a = from; a < to; ++a) {
            const int k = inner[a];
            const double weight = value[a];
            double own = weight * diagonal[k];
            for (int b = outer[k]; b < outer[k + 1]; ++b) {
                const int i = inner[b];
                const int slot = place[static_cast<std::size_t>(i)];
                if (slot < 0 || i == k)
                    continue;
                const double entry = inverse[static_cast<std::size_t>(b)];
                sums[static_cast<std::size_t>(slot)] += weight * entry;
                own += value[from + slot] * entry;
            }
            sums[static_cast<std::size_t>(a - from)] += own;
        }
        double corner = 1.0 / d[j];
        for (int a = from; a < to; ++a) {
            const double entry = -sums[static_cast<std::size_t>(a - from)];
            inverse[static_cast<std::size_t>(a)] = entry;
            corner -= value[a] * entry;
            place[static_cast<std::size_t>(inner[a])] = -1;
        }
        diagonal[j] = corner;
    }
    return factor_.permutationPinv() * diagonal;
}

Vector SparseFactor::correlate(const Vector& normals) const {
    const Vector scaled = (normals.array() / factor_.vectorD().array().sqrt()).matrix();
    return factor_.permutationPinv() * factor_.matrixU().solve(scaled);
}

} // namespace thresh::stats

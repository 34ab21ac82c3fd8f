// Average-information REML on the mixed model equations. Private to stats.
#pragma once

#include "stats/mixed_equations.hpp"

#include <memory>

namespace thresh::stats {

// Variance components on the scale of Design::y: random factors in order, then the residual.
struct RemlFit {
    std::vector<double> components;
    std::vector<bool> at_boundary; // random factors only
    Matrix covariance;             // of the components; rows and columns of fixed ones are 0
    double criterion = 0.0;        // -2 log restricted likelihood of the scaled y
    bool converged = false;
    int steps = 0;
    // Of the active factors, factorised at the components, with the solution and the diagonal of the inverse.
    std::unique_ptr<MixedEquations> equations;
    Vector solution, inverse_diagonal;
};

// Errors: residual variance that runs to 0, components that the data cannot tell apart.
Result<RemlFit> reml(const Design& design, const MixedModel& model, const RemlOptions& options);

} // namespace thresh::stats

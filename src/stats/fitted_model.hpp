// What a fitted mixed model holds behind its public face. Private to stats.
#pragma once

#include "stats/reml.hpp"

#include <memory>
#include <optional>
#include <thresh/stats/mixed_model.hpp>

namespace thresh::stats::detail {

struct FittedModel {
    Design design;
    RemlFit fit; // on the scale of design.y
    std::vector<bool> active;
    std::unique_ptr<MixedEquations> equations; // factorised at the estimates
    Vector coefficients;                       // all design columns, on the scale of the data
    Vector variances;                          // the same
    std::vector<Component> components;         // on the scale of the data
    bool residual_known = false;

    double residual_variance() const { return fit.components.back(); } // scaled
    double square() const { return design.scale * design.scale; }
};

// Ratios residual / component of the active random factors.
std::vector<double> active_ratios(const std::vector<double>& components, const std::vector<bool>& active);

} // namespace thresh::stats::detail

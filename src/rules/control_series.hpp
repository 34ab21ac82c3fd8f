// The readings of a control as series over time: what charts and the drift table are made of.
#pragma once

#include "rules/rule.hpp"

#include <thresh/stats/control_chart.hpp>

namespace thresh::rules {

struct ControlPoint {
    RowId row;
    double value;           // on the target's basis
    stats::Signals signals; // complete with this point
};

// One control, instrument, material, calibration and constituent; charts break where the calibration changes.
struct ControlSeries {
    TextId instrument = kNoText;
    std::uint32_t sample = kNone;
    std::uint8_t material = batch::kNoMaterial;
    TextId calibration = kNoText;
    ConstituentId constituent = kNoConstituent;
    Basis basis = Basis::as_is();
    std::optional<double> centre, sd; // empty: neither given nor enough readings to estimate
    bool centre_given = false, sd_given = false;
    double warning = 2, action = 3;   // in sd
    std::vector<ControlPoint> points; // in time order
    bool charted() const { return centre && sd && *sd > 0; }
};

// All series, in order of instrument, sample, material, calibration, constituent.
std::vector<ControlSeries> control_series(const batch::Batch& batch, const Ruleset& rules);

} // namespace thresh::rules

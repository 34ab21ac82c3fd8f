// The readings of a control, or of the wavelength standard, as series over time: what charts and the drift
// table are made of.
#pragma once

#include <thresh/batch/batch.hpp>
#include <thresh/rules/ruleset.hpp>
#include <thresh/stats/control_chart.hpp>

#include <optional>
#include <vector>

namespace thresh::rules {

struct ControlPoint {
    RowId row;
    double value;           // on the target's basis
    stats::Signals signals; // complete with this point
    bool off = false;       // a sum or average that told of a shift lasts, and this point is not back
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
    double cusum = 0, ewma = 0;       // decision interval and half width in force, in sd; 0: not used
    std::vector<ControlPoint> points; // in time order
    bool charted() const { return centre && sd && *sd > 0; }
};

// Which of a point's signals concern the readings around it: a point beyond the action limit, CUSUM and EWMA,
// whose limits keep to the budget of false alarms. The others (warning limit, run rules) are notes.
constexpr stats::Signals kActionSignals = bit(stats::Signal::beyond_action) | bit(stats::Signal::cusum_high) |
                                          bit(stats::Signal::cusum_low) | bit(stats::Signal::ewma_high) |
                                          bit(stats::Signal::ewma_low);

// All series, in order of instrument, sample, material, calibration, constituent.
std::vector<ControlSeries> control_series(const batch::Batch& batch, const Ruleset& rules);

// The wavelength standard on one instrument: its peaks in time order, in the standard's unit.
struct StandardSeries {
    TextId instrument = kNoText;
    std::vector<ControlPoint> points; // signals: beyond_warning (review), beyond_action (exclude)
    std::size_t without_peak = 0;     // readings of the standard that hold no peak
};
std::vector<StandardSeries> standard_series(const batch::Batch& batch, const Ruleset& rules);

} // namespace thresh::rules

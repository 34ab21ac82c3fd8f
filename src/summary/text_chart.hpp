// Small charts as one line of text.
#pragma once

#include <thresh/stats/control_chart.hpp>

#include <span>
#include <string>

namespace thresh::summary {

// One character a point, the newest last, at most 20 of them: eight heights between the two limits, with a
// triangle up or down for points beyond. `low` < `high`.
std::string run_chart(std::span<const double> values, double low, double high);

// An interval on a scale from -reach to +reach with 0 in the middle: `--o--`, 21 characters. reach > 0.
std::string interval_chart(double low, double estimate, double high, double reach);

} // namespace thresh::summary

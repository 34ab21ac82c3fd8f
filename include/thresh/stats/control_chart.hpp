// Control charts for single values in the order of time: individuals with moving range, run rules, tabular
// CUSUM and EWMA, and the constants of charts for subgroups. A chart returns limits and, for each point,
// which signals it completes; it does not decide what a signal is worth.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace thresh::stats {

// One bit a signal, so that a point can carry several.
enum class Signal : std::uint32_t {
    beyond_warning = 1U << 0,     // beyond 2 sigma
    beyond_action = 1U << 1,      // beyond 3 sigma (Western Electric 1, Nelson 1)
    two_of_three = 1U << 2,       // 2 of 3 beyond 2 sigma on one side (Western Electric 2, Nelson 5)
    four_of_five = 1U << 3,       // 4 of 5 beyond 1 sigma on one side (Western Electric 3, Nelson 6)
    run_of_eight = 1U << 4,       // 8 in a row on one side (Western Electric 4)
    run_of_nine = 1U << 5,        // 9 in a row on one side (Nelson 2)
    six_trend = 1U << 6,          // 6 in a row steadily up or down (Nelson 3)
    fourteen_alternate = 1U << 7, // 14 in a row alternating up and down (Nelson 4)
    fifteen_within = 1U << 8,     // 15 in a row within 1 sigma (Nelson 7)
    eight_outside = 1U << 9,      // 8 in a row beyond 1 sigma on either side (Nelson 8)
    moving_range = 1U << 10,      // step from the point before beyond its limit
    cusum_high = 1U << 11,
    cusum_low = 1U << 12,
    ewma_high = 1U << 13,
    ewma_low = 1U << 14,
};

using Signals = std::uint32_t; // sum of Signal bits

constexpr Signals bit(Signal signal) {
    return static_cast<Signals>(signal);
}
constexpr bool has(Signals signals, Signal signal) {
    return (signals & bit(signal)) != 0;
}

// Plain words for one signal, such as "2 of 3 beyond 2 standard deviations on one side".
std::string_view words(Signal signal);

constexpr Signals western_electric = bit(Signal::beyond_action) | bit(Signal::two_of_three) |
                                     bit(Signal::four_of_five) | bit(Signal::run_of_eight);
constexpr Signals nelson = bit(Signal::beyond_action) | bit(Signal::run_of_nine) | bit(Signal::six_trend) |
                           bit(Signal::fourteen_alternate) | bit(Signal::two_of_three) |
                           bit(Signal::four_of_five) | bit(Signal::fifteen_within) |
                           bit(Signal::eight_outside);

// Run rules against a centre and a standard deviation (> 0). Each point carries the signals that are complete
// with it. A point exactly on a limit is inside; one on the centre line is on no side. Only rules in `wanted`
// are looked for.
std::vector<Signals> run_rules(std::span<const double> values, double centre, double sd, Signals wanted);

// Individuals chart with its moving range of two neighbours.
struct IndividualsChart {
    double centre = 0.0;
    double sd = 0.0; // mean moving range / d2
    double lower = 0.0;
    double upper = 0.0;
    double mean_moving_range = 0.0;
    double moving_range_upper = 0.0;   // D4 times the mean moving range
    std::vector<double> moving_ranges; // one fewer than the values
    std::vector<Signals> signals;      // one a value
};

// Limits from the values themselves, centre +- 3 sd. With `tabled_d2` the rounded 1.128 and 3.267 of printed
// tables are used in place of the exact 2/sqrt(pi) and D4. Empty below two values and when no value differs
// from its neighbour.
std::optional<IndividualsChart> individuals_chart(std::span<const double> values, Signals wanted,
                                                  bool tabled_d2 = false);

// Tabular CUSUM in the values' own unit: `slack` (k) and `decision` (h) are usually 0.5 and 4 to 5 standard
// deviations.
struct Cusum {
    std::vector<double> high;
    std::vector<double> low;
    std::vector<Signals> signals;
};
Cusum tabular_cusum(std::span<const double> values, double target, double slack, double decision);

// Exponentially weighted moving average with limits that open with time.
struct Ewma {
    std::vector<double> level;
    std::vector<double> lower;
    std::vector<double> upper;
    double steady_lower = 0.0;
    double steady_upper = 0.0;
    std::vector<Signals> signals;
};
// 0 < lambda <= 1, sd > 0; `width` is L, the half width in standard deviations.
Ewma ewma_chart(std::span<const double> values, double target, double sd, double lambda = 0.2,
                double width = 3.0);

// Constants for subgroups of n >= 2 (ISO 7870-2 calls them so), computed from the range of normals.
struct ChartConstants {
    double d2 = 0.0;                 // mean of the range
    double d3 = 0.0;                 // standard deviation of the range
    double c4 = 0.0;                 // mean of the standard deviation
    double a2 = 0.0;                 // 3 / (d2 sqrt n)
    double range_lower_factor = 0.0; // D3: lower limit factor of the range, 0 when negative
    double range_upper_factor = 0.0; // D4: upper limit factor of the range
};
ChartConstants chart_constants(int n);

// Mean and range chart of subgroups of equal size: limits as factors of the mean range.
struct ShewhartLimits {
    double centre = 0.0;
    double lower = 0.0;
    double upper = 0.0;
    double range_centre = 0.0;
    double range_lower = 0.0;
    double range_upper = 0.0;
};
// One mean and one range a subgroup of size n >= 2. Empty without subgroups.
std::optional<ShewhartLimits> shewhart_limits(std::span<const double> means, std::span<const double> ranges,
                                              int n);

} // namespace thresh::stats

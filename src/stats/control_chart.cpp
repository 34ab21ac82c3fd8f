// Run rules as counts over the last few points, in the forms of the NIST/SEMATECH e-Handbook 6.3.2 and of
// Nelson 1984; ISO 7870-2:2023 takes the 3 sigma rule alone as the default in routine monitoring. Limits that
// are estimated from few values are themselves uncertain; no correction is made for that.
#include <thresh/stats/control_chart.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <utility>

namespace thresh::stats {
namespace {

using Scores = std::span<const double>;

// How many of the last `window` scores up to `end` lie beyond `limit` on the given side (+1 or -1).
int count_beyond(Scores z, std::size_t end, std::size_t window, double limit, double side) {
    int count = 0;
    for (std::size_t i = end + 1 - window; i <= end; ++i)
        count += side * z[i] > limit ? 1 : 0;
    return count;
}

// At least `needed` of the last `window` beyond `limit` on one side, the last of them included.
bool some_of(Scores z, std::size_t end, std::size_t window, int needed, double limit) {
    for (const double side : {1.0, -1.0}) {
        const std::size_t seen = std::min(window, end + 1);
        if (side * z[end] > limit && count_beyond(z, end, seen, limit, side) >= needed)
            return true;
    }
    return false;
}

bool all_of_last(Scores z, std::size_t end, std::size_t window, bool (*holds)(double)) {
    if (end + 1 < window)
        return false;
    return std::all_of(z.begin() + static_cast<std::ptrdiff_t>(end + 1 - window),
                       z.begin() + static_cast<std::ptrdiff_t>(end + 1), holds);
}

bool steady_trend(Scores z, std::size_t end, std::size_t window) {
    if (end + 1 < window)
        return false;
    bool up = true;
    bool down = true;
    for (std::size_t i = end + 2 - window; i <= end; ++i) {
        up = up && z[i] > z[i - 1];
        down = down && z[i] < z[i - 1];
    }
    return up || down;
}

bool alternating(Scores z, std::size_t end, std::size_t window) {
    if (end + 1 < window)
        return false;
    for (std::size_t i = end + 3 - window; i <= end; ++i)
        if ((z[i] - z[i - 1]) * (z[i - 1] - z[i - 2]) >= 0.0)
            return false;
    return true;
}

bool holds(Signal rule, Scores z, std::size_t i) {
    switch (rule) {
    case Signal::beyond_warning:
        return std::fabs(z[i]) > 2.0;
    case Signal::beyond_action:
        return std::fabs(z[i]) > 3.0;
    case Signal::two_of_three:
        return some_of(z, i, 3, 2, 2.0);
    case Signal::four_of_five:
        return some_of(z, i, 5, 4, 1.0);
    case Signal::run_of_eight:
        return some_of(z, i, 8, 8, 0.0);
    case Signal::run_of_nine:
        return some_of(z, i, 9, 9, 0.0);
    case Signal::six_trend:
        return steady_trend(z, i, 6);
    case Signal::fourteen_alternate:
        return alternating(z, i, 14);
    case Signal::fifteen_within:
        return all_of_last(z, i, 15, [](double score) { return std::fabs(score) < 1.0; });
    case Signal::eight_outside:
        return all_of_last(z, i, 8, [](double score) { return std::fabs(score) > 1.0; });
    default:
        return false; // the other signals belong to their own charts
    }
}

constexpr std::array<std::pair<Signal, std::string_view>, 15> signal_words{{
    {Signal::beyond_warning, "beyond the warning limit"},
    {Signal::beyond_action, "beyond the action limit"},
    {Signal::two_of_three, "2 of 3 beyond 2 standard deviations on one side"},
    {Signal::four_of_five, "4 of 5 beyond 1 standard deviation on one side"},
    {Signal::run_of_eight, "8 in a row on one side"},
    {Signal::run_of_nine, "9 in a row on one side"},
    {Signal::six_trend, "6 in a row steadily up or down"},
    {Signal::fourteen_alternate, "14 in a row alternating up and down"},
    {Signal::fifteen_within, "15 in a row within 1 standard deviation"},
    {Signal::eight_outside, "8 in a row beyond 1 standard deviation"},
    {Signal::moving_range, "step from the value before beyond its limit"},
    {Signal::cusum_high, "cumulative sum above its limit"},
    {Signal::cusum_low, "cumulative sum below its limit"},
    {Signal::ewma_high, "moving average above its limit"},
    {Signal::ewma_low, "moving average below its limit"},
}};

} // namespace

std::string_view words(Signal signal) {
    for (const auto& [each, text] : signal_words)
        if (each == signal)
            return text;
    return {};
}

std::vector<Signals> run_rules(std::span<const double> values, double centre, double sd, Signals wanted) {
    assert(sd > 0.0);
    std::vector<double> scores;
    scores.reserve(values.size());
    for (double value : values)
        scores.push_back((value - centre) / sd);
    std::vector<Signals> signals(values.size(), 0);
    for (std::size_t i = 0; i < values.size(); ++i)
        for (const auto& [signal, text] : signal_words)
            if (has(wanted, signal) && holds(signal, scores, i))
                signals[i] |= bit(signal);
    return signals;
}

std::optional<IndividualsChart> individuals_chart(std::span<const double> values, Signals wanted,
                                                  bool tabled_d2) {
    if (values.size() < 2)
        return std::nullopt;
    IndividualsChart chart;
    for (std::size_t i = 1; i < values.size(); ++i)
        chart.moving_ranges.push_back(std::fabs(values[i] - values[i - 1]));
    chart.mean_moving_range = *mean(chart.moving_ranges);
    if (chart.mean_moving_range <= 0.0)
        return std::nullopt;
    const ChartConstants constants = chart_constants(2);
    chart.centre = *mean(values);
    chart.sd = chart.mean_moving_range / (tabled_d2 ? 1.128 : constants.d2);
    chart.lower = chart.centre - 3.0 * chart.sd;
    chart.upper = chart.centre + 3.0 * chart.sd;
    chart.moving_range_upper = chart.mean_moving_range * (tabled_d2 ? 3.267 : constants.range_upper_factor);
    chart.signals = run_rules(values, chart.centre, chart.sd, wanted);
    for (std::size_t i = 0; i < chart.moving_ranges.size(); ++i)
        if (chart.moving_ranges[i] > chart.moving_range_upper)
            chart.signals[i + 1] |= bit(Signal::moving_range);
    return chart;
}

Cusum tabular_cusum(std::span<const double> values, double target, double slack, double decision) {
    Cusum cusum;
    double high = 0.0;
    double low = 0.0;
    for (double value : values) {
        high = std::max(0.0, high + (value - target) - slack);
        low = std::max(0.0, low + (target - value) - slack);
        cusum.high.push_back(high);
        cusum.low.push_back(low);
        cusum.signals.push_back((high > decision ? bit(Signal::cusum_high) : 0U) |
                                (low > decision ? bit(Signal::cusum_low) : 0U));
    }
    return cusum;
}

Ewma ewma_chart(std::span<const double> values, double target, double sd, double lambda, double width) {
    assert(sd > 0.0 && lambda > 0.0 && lambda <= 1.0);
    Ewma ewma;
    const double steady = width * sd * std::sqrt(lambda / (2.0 - lambda));
    ewma.steady_lower = target - steady;
    ewma.steady_upper = target + steady;
    double level = target;
    double forgotten = 1.0; // (1 - lambda)^(2t)
    for (double value : values) {
        level += lambda * (value - level);
        forgotten *= (1.0 - lambda) * (1.0 - lambda);
        const double half = steady * std::sqrt(1.0 - forgotten);
        ewma.level.push_back(level);
        ewma.lower.push_back(target - half);
        ewma.upper.push_back(target + half);
        ewma.signals.push_back((level > target + half ? bit(Signal::ewma_high) : 0U) |
                               (level < target - half ? bit(Signal::ewma_low) : 0U));
    }
    return ewma;
}

ChartConstants chart_constants(int n) {
    assert(n >= 2);
    const RangeMoments range = range_moments(n);
    ChartConstants constants;
    constants.d2 = range.mean;
    constants.d3 = range.sd;
    constants.c4 = std::sqrt(2.0 / (n - 1.0)) * std::exp(std::lgamma(0.5 * n) - std::lgamma(0.5 * (n - 1.0)));
    constants.a2 = 3.0 / (range.mean * std::sqrt(static_cast<double>(n)));
    constants.range_lower_factor = std::max(0.0, 1.0 - 3.0 * range.sd / range.mean);
    constants.range_upper_factor = 1.0 + 3.0 * range.sd / range.mean;
    return constants;
}

std::optional<ShewhartLimits> shewhart_limits(std::span<const double> means, std::span<const double> ranges,
                                              int n) {
    assert(means.size() == ranges.size());
    if (means.empty())
        return std::nullopt;
    const ChartConstants constants = chart_constants(n);
    ShewhartLimits limits;
    limits.centre = *mean(means);
    limits.range_centre = *mean(ranges);
    limits.lower = limits.centre - constants.a2 * limits.range_centre;
    limits.upper = limits.centre + constants.a2 * limits.range_centre;
    limits.range_lower = constants.range_lower_factor * limits.range_centre;
    limits.range_upper = constants.range_upper_factor * limits.range_centre;
    return limits;
}

} // namespace thresh::stats

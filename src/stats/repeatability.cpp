// Repeatability from duplicates and groups, and the flow of ISO 5725-6 from readings to one quoted value. The
// flow only looks at the readings that are there: it says when more are asked for, it cannot make them.
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <array>
#include <atomic>
#include <cassert>
#include <cmath>
#include <map>

namespace thresh::stats {
namespace {

double range_of(std::span<const double> values) {
    double low = values[0], high = values[0];
    for (const double value : values) { // no branch, where minmax_element has some for each value
        low = std::min(low, value);
        high = std::max(high, value);
    }
    return high - low;
}

// Factors of up to 8 readings are needed again and again.
double cached_factor(std::size_t n) {
    static std::array<std::atomic<double>, 256> known{}; // by n; each thread would find the same number
    if (n >= known.size())
        return critical_range_factor(static_cast<int>(n));
    double factor = known[n].load(std::memory_order_relaxed);
    if (factor == 0) {
        factor = critical_range_factor(static_cast<int>(n));
        known[n].store(factor, std::memory_order_relaxed);
    }
    return factor;
}

} // namespace

std::optional<Repeatability> repeatability_from_differences(std::span<const double> differences) {
    if (differences.empty())
        return std::nullopt;
    double squares = 0.0;
    for (double difference : differences)
        squares += difference * difference;
    const double m = static_cast<double>(differences.size());
    return Repeatability{std::sqrt(squares / (2.0 * m)), m};
}

std::optional<Repeatability> repeatability_from_groups(std::span<const double> values,
                                                       std::span<const int> group) {
    assert(values.size() == group.size());
    std::map<int, std::vector<double>> members;
    for (std::size_t i = 0; i < values.size(); ++i)
        members[group[i]].push_back(values[i]);
    double squares = 0.0;
    double df = 0.0;
    for (const auto& [number, readings] : members) {
        squares += sum_of_squares(readings);
        df += static_cast<double>(readings.size() - 1);
    }
    if (df < 1.0)
        return std::nullopt;
    return Repeatability{std::sqrt(squares / df), df};
}

std::optional<QuotedValue> quoted_value(std::span<const double> readings, double sd, TestCost cost) {
    assert(sd > 0.0);
    if (readings.empty())
        return std::nullopt;
    QuotedValue quoted;
    quoted.readings_used = readings.size();
    quoted.value = readings[0];
    if (readings.size() == 1)
        return quoted;
    // Two readings that agree settle the matter; later ones were not asked for but are there, so they count.
    const std::size_t enough = cost == TestCost::cheap ? 4 : 3;
    quoted.range = range_of(readings);
    quoted.critical_range = cached_factor(readings.size()) * sd;
    // Rounding of decimal readings must not turn "equal to the limit" into "beyond".
    const bool beyond = quoted.range > quoted.critical_range * (1.0 + 1e-12);
    quoted.median = beyond;
    quoted.more_readings = beyond && readings.size() < enough;
    quoted.value = beyond ? *median(readings) : *mean(readings);
    return quoted;
}

} // namespace thresh::stats

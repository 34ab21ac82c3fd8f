// Means are taken in two passes: the second adds the mean residual, which recovers the digits that the first
// loses when values are large against their spread. Sums carry their rounding error along (Neumaier 1974).
// Quantiles sort a copy, for n is small everywhere they are used.
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

namespace thresh::stats {
namespace {

constexpr double mad_to_sd = 1.4826; // 1 / normal quantile(0.75), as the sources round it

// Sum with a running correction for what each addition rounds off: exactly that (Knuth's TwoSum, which need
// not ask which of the two is the larger).
class CompensatedSum {
  public:
    void add(double value) {
        const double next = sum_ + value;
        const double added = next - sum_;
        correction_ += (sum_ - (next - added)) + (value - added);
        sum_ = next;
    }
    double value() const { return sum_ + correction_; }

  private:
    double sum_ = 0.0;
    double correction_ = 0.0;
};

std::vector<double> sorted_copy(std::span<const double> values) {
    std::vector<double> copy(values.begin(), values.end());
    std::sort(copy.begin(), copy.end());
    return copy;
}

double median_of_sorted(std::span<const double> sorted) {
    const std::size_t half = sorted.size() / 2;
    return sorted.size() % 2 == 1 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half]);
}

} // namespace

std::optional<double> mean(std::span<const double> values) {
    if (values.empty())
        return std::nullopt;
    const double n = static_cast<double>(values.size());
    CompensatedSum sum;
    for (double value : values)
        sum.add(value);
    const double first = sum.value() / n;
    CompensatedSum residual;
    double lost = 0.0; // where `first` is small against a value, taking it off is rounded too
    for (double value : values) {
        const double away = value - first;
        residual.add(away);
        lost += (value - (away + (value - away))) + ((value - away) - first);
    }
    return first + (residual.value() + lost) / n;
}

double sum_of_squares(std::span<const double> values) {
    if (values.empty())
        return 0.0;
    const double n = static_cast<double>(values.size());
    const double centre = *mean(values);
    CompensatedSum squares;
    CompensatedSum residual;
    for (double value : values) {
        const double deviation = value - centre;
        squares.add(deviation * deviation);
        residual.add(deviation);
    }
    return std::max(0.0, squares.value() - residual.value() * residual.value() / n);
}

std::optional<double> standard_deviation(std::span<const double> values) {
    if (values.size() < 2)
        return std::nullopt;
    return std::sqrt(sum_of_squares(values) / static_cast<double>(values.size() - 1));
}

std::optional<double> quantile(std::span<const double> values, double p) {
    assert(p >= 0.0 && p <= 1.0);
    if (values.empty())
        return std::nullopt;
    const std::vector<double> sorted = sorted_copy(values);
    const double position = static_cast<double>(sorted.size() - 1) * p;
    const auto below = static_cast<std::size_t>(position);
    if (below + 1 >= sorted.size())
        return sorted.back();
    const double part = position - static_cast<double>(below);
    return sorted[below] + part * (sorted[below + 1] - sorted[below]);
}

std::optional<double> median_absolute_deviation(std::span<const double> values) {
    if (values.empty())
        return std::nullopt;
    std::vector<double> work(values.begin(), values.end());
    const double centre = *median_in_place(work);
    std::ranges::transform(values, work.begin(), [&](double value) { return std::fabs(value - centre); });
    return median_in_place(work);
}

Summary summarize(std::span<const double> values) {
    Summary summary;
    summary.n = values.size();
    if (values.empty())
        return summary;
    summary.mean = mean(values);
    summary.sd = standard_deviation(values);
    if (summary.sd)
        summary.se = *summary.sd / std::sqrt(static_cast<double>(values.size()));
    const std::vector<double> sorted = sorted_copy(values);
    summary.min = sorted.front();
    summary.median = median_of_sorted(sorted);
    summary.max = sorted.back();
    return summary;
}

std::vector<double> robust_z(std::span<const double> values, double floor) {
    std::vector<double> scores(values.size(), 0.0);
    if (values.empty())
        return scores;
    const double centre = *median(values);
    double spread = std::max(floor, mad_to_sd * *median_absolute_deviation(values));
    if (spread <= 0.0)
        spread = standard_deviation(values).value_or(0.0);
    if (spread <= 0.0)
        return scores;
    for (std::size_t i = 0; i < values.size(); ++i)
        scores[i] = (values[i] - centre) / spread;
    return scores;
}

std::optional<RobustEstimate> algorithm_a(std::span<const double> values, double tolerance, int max_steps) {
    if (values.size() < 2)
        return std::nullopt;
    RobustEstimate now;
    now.mean = *median(values);
    now.sd = 1.483 * *median_absolute_deviation(values);
    if (now.sd <= 0.0)
        now.sd = *standard_deviation(values);
    std::vector<double> clipped(values.size());
    while (now.steps < max_steps) {
        const double reach = 1.5 * now.sd;
        for (std::size_t i = 0; i < values.size(); ++i)
            clipped[i] = std::clamp(values[i], now.mean - reach, now.mean + reach);
        const double next_mean = *mean(clipped);
        const double next_sd = 1.134 * *standard_deviation(clipped);
        const double moved = std::fabs(next_mean - now.mean) + std::fabs(next_sd - now.sd);
        now.mean = next_mean;
        now.sd = next_sd;
        ++now.steps;
        if (moved <= tolerance * next_sd || next_sd <= 0.0) {
            now.converged = true;
            break;
        }
    }
    return now;
}

} // namespace thresh::stats

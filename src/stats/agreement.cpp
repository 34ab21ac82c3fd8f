// Ordinary least squares on centred values. Reference values are taken as free of error: the line is the one
// a correction would use, not the structural relation between two erroneous methods. Rules of advice are
// common practice: no verdict below 10 pairs, no slope correction below 20.
#include <thresh/stats/agreement.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <string>

namespace thresh::stats {
namespace {

// What may part values that are equal on paper: putting them on a basis rounds some times. Two sides that
// agree to this are the same, or a line would be fitted to rounding and its slope be called significant.
double rounding_of(std::span<const double> values) {
    double largest = 0.0;
    for (double value : values)
        largest = std::max(largest, std::fabs(value));
    return 16 * std::numeric_limits<double>::epsilon() * largest;
}

double range(std::span<const double> values) {
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    return values.empty() ? 0.0 : *high - *low;
}

bool varies(std::span<const double> values) {
    return range(values) > rounding_of(values);
}

bool all_finite(std::span<const double> values) {
    return std::all_of(values.begin(), values.end(), [](double value) { return std::isfinite(value); });
}

// `rounding`: of the values that the differences are between.
void test_bias(Agreement& result, std::span<const double> differences, double rounding, double alpha) {
    const double n = static_cast<double>(result.n);
    result.bias = *mean(differences);
    if (std::fabs(result.bias) <= rounding)
        result.bias = 0.0;
    result.sep = range(differences) > rounding ? *standard_deviation(differences) : 0.0;
    result.bias_se = result.sep / std::sqrt(n);
    result.bias_limit = t_quantile(1.0 - 0.5 * alpha, n - 1.0) * result.bias_se;
    double squares = 0.0;
    double absolute = 0.0;
    for (double difference : differences) {
        squares += difference * difference;
        absolute += std::fabs(difference);
    }
    result.rmsep = std::sqrt(squares / n);
    result.mean_absolute = absolute / n;
    result.rmsep_bias_corrected = result.sep * std::sqrt((n - 1.0) / n);
    if (result.bias_se > 0.0)
        result.bias_p = t_two_sided_p(result.bias / result.bias_se, n - 1.0);
    else
        result.bias_p = result.bias == 0.0 ? 1.0 : 0.0;
    result.bias_significant = std::fabs(result.bias) > result.bias_limit;
}

// p of a value that is `away` from the one tested, in units of its standard error. An exact line has none:
// then any difference is certain.
double p_of(double away, double standard_error, double df) {
    if (standard_error > 0.0)
        return t_two_sided_p(away / standard_error, df);
    return away == 0.0 ? 1.0 : 0.0;
}

// `span`: range of the NIR values, over which a slope other than 1 must make more than `rounding`.
void test_slope(Agreement& result, double span, double rounding, double alpha) {
    if (!result.line)
        return;
    const Line& line = *result.line;
    const double n = static_cast<double>(result.n);
    const double df = n - 2.0;
    result.slope_t_limit = t_quantile(1.0 - 0.5 * alpha, df);
    result.sep_line_corrected = line.residual_sd * std::sqrt(df / (n - 1.0));
    const double from_one = std::fabs(line.slope - 1.0) * span > rounding ? std::fabs(line.slope - 1.0) : 0.0;
    const double from_zero = std::fabs(line.intercept) > rounding ? line.intercept : 0.0;
    if (from_one > 0.0)
        result.slope_t =
            line.slope_se > 0.0 ? from_one / line.slope_se : std::numeric_limits<double>::infinity();
    result.slope_p = p_of(from_one, line.slope_se, df);
    result.intercept_p = p_of(from_zero, line.intercept_se, df);
    result.slope_significant = result.slope_t > result.slope_t_limit;
}

Advice advise(const Agreement& result) {
    if (result.n < 10)
        return Advice::too_few;
    if (result.slope_significant && result.line->slope <= 0.0)
        return Advice::unrelated;
    if (result.slope_significant)
        return result.n >= 20 ? Advice::slope_and_bias : Advice::slope_unsettled;
    return result.bias_significant ? Advice::subtract_bias : Advice::none_needed;
}

std::vector<OutlyingPair> outlying_pairs(std::span<const double> differences) {
    std::vector<OutlyingPair> pairs;
    if (differences.size() < 10)
        return pairs;
    const RosnerTest test = rosner_test(differences, std::max<std::size_t>(1, differences.size() / 10));
    for (std::size_t i = 0; i < test.outliers; ++i)
        pairs.push_back({test.steps[i].index, differences[test.steps[i].index]});
    return pairs;
}

} // namespace

std::optional<Line> fit_line(std::span<const double> x, std::span<const double> y) {
    assert(x.size() == y.size());
    const double sxx = sum_of_squares(x);
    if (x.size() < 3 || !varies(x))
        return std::nullopt;
    const double n = static_cast<double>(x.size());
    const double x_mean = *mean(x);
    const double y_mean = *mean(y);
    double sxy = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i)
        sxy += (x[i] - x_mean) * (y[i] - y_mean);
    Line line;
    line.n = x.size();
    line.slope = sxy / sxx;
    line.intercept = y_mean - line.slope * x_mean;
    double squares = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double residual = (y[i] - y_mean) - line.slope * (x[i] - x_mean);
        squares += residual * residual;
    }
    const double rounding = rounding_of(y);
    if (squares <= n * rounding * rounding)
        squares = 0.0; // an exact line
    line.residual_sd = std::sqrt(squares / (n - 2.0));
    line.slope_se = line.residual_sd / std::sqrt(sxx);
    line.intercept_se = line.residual_sd * std::sqrt(1.0 / n + x_mean * x_mean / sxx);
    line.r2 = varies(y) ? std::max(0.0, 1.0 - squares / sum_of_squares(y)) : 0.0;
    return line;
}

std::optional<Line> fit_through_origin(std::span<const double> x, std::span<const double> y) {
    assert(x.size() == y.size());
    double sxx = 0.0;
    double sxy = 0.0;
    double syy = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        sxx += x[i] * x[i];
        sxy += x[i] * y[i];
        syy += y[i] * y[i];
    }
    if (x.size() < 2 || sxx <= 0.0)
        return std::nullopt;
    Line line;
    line.n = x.size();
    line.slope = sxy / sxx;
    double squares = 0.0;
    for (std::size_t i = 0; i < x.size(); ++i)
        squares += (y[i] - line.slope * x[i]) * (y[i] - line.slope * x[i]);
    line.residual_sd = std::sqrt(squares / static_cast<double>(x.size() - 1));
    line.slope_se = line.residual_sd / std::sqrt(sxx);
    line.r2 = syy > 0.0 ? 1.0 - squares / syy : 0.0;
    return line;
}

Result<Agreement> agreement(std::span<const double> nir, std::span<const double> reference,
                            const AgreementOptions& options) {
    if (nir.size() != reference.size())
        return fail("NIR and reference values are not paired", "give one reference value for each NIR value");
    if (nir.size() < 3)
        return fail("agreement needs at least 3 pairs, there are " + std::to_string(nir.size()),
                    "add reference results for more samples; 20 give a verdict");
    if (!all_finite(nir) || !all_finite(reference))
        return fail("a value is not a finite number", "leave out pairs with a missing side");
    Agreement result;
    result.n = nir.size();
    result.reference_mean = *mean(reference);
    result.reference_sd = *standard_deviation(reference);
    const auto [low, high] = std::minmax_element(reference.begin(), reference.end());
    result.reference_min = *low;
    result.reference_max = *high;
    result.nir_mean = *mean(nir);
    result.nir_sd = *standard_deviation(nir);
    std::vector<double> differences(nir.size());
    for (std::size_t i = 0; i < nir.size(); ++i)
        differences[i] = nir[i] - reference[i];
    const double rounding = std::max(rounding_of(nir), rounding_of(reference));
    test_bias(result, differences, rounding, options.alpha);
    if (varies(reference))
        result.line = fit_line(nir, reference);
    test_slope(result, range(nir), rounding, options.alpha);
    if (result.sep > 0.0) {
        result.rpd = result.reference_sd / result.sep;
        result.rer = (result.reference_max - result.reference_min) / result.sep;
    }
    if (const auto& calibration = options.calibration) {
        const double df = calibration->samples - calibration->terms - 1.0;
        if (df > 0.0 && calibration->sec > 0.0)
            result.uecl = calibration->sec *
                          std::sqrt(f_quantile(1.0 - options.alpha, static_cast<double>(result.n) - 1.0, df));
    }
    result.caution = result.n >= 10 && result.n < 20;
    result.advice = advise(result);
    result.outlying = outlying_pairs(differences);
    return result;
}

} // namespace thresh::stats

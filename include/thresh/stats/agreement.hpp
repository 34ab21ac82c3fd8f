// Agreement of NIR predictions with a reference method, after ISO 12099:2017 clause 7 and AACC 39-01.01.
// Errors are NIR minus reference throughout; the regression is of reference on NIR, whose slope is tested
// against 1. Both sides must already be on one basis and one nitrogen factor.
#pragma once

#include <optional>
#include <span>
#include <thresh/core/result.hpp>
#include <vector>

namespace thresh::stats {

// Straight line by ordinary least squares.
struct Line {
    double intercept = 0.0;
    double slope = 0.0;
    double intercept_se = 0.0;
    double slope_se = 0.0;
    double residual_sd = 0.0; // divisor n - 2
    double r2 = 0.0;
    std::size_t n = 0;
};

// Empty below three pairs and when x does not vary by more than rounding; r2 is 0 when y does not.
std::optional<Line> fit_line(std::span<const double> x, std::span<const double> y);

// Line through the origin, slope alone; r2 about zero. Empty below two pairs or when x is all 0.
std::optional<Line> fit_through_origin(std::span<const double> x, std::span<const double> y);

// What is known of the calibration; without it the UECL is left out.
struct CalibrationError {
    double sec = 0.0;     // standard error of calibration (or of cross-validation)
    double samples = 0.0; // n of the calibration set
    double terms = 0.0;   // number of terms p
};

struct AgreementOptions {
    double alpha = 0.05;
    std::optional<CalibrationError> calibration;
};

// A pair whose difference stands out (Rosner's procedure on the differences, at most a tenth of the pairs).
struct OutlyingPair {
    std::size_t index = 0;
    double difference = 0.0;
};

enum class Advice {
    too_few,         // below 10 pairs: numbers without verdict
    none_needed,     // neither bias nor slope significant
    subtract_bias,   // only the bias is significant
    slope_and_bias,  // slope significant, at least 20 pairs
    slope_unsettled, // slope significant with fewer than 20 pairs: more samples first
    unrelated,       // the reference does not rise with NIR: no line corrects that
};

struct Agreement {
    std::size_t n = 0;
    double reference_mean = 0.0;
    double reference_sd = 0.0;
    double reference_min = 0.0;
    double reference_max = 0.0;
    double nir_mean = 0.0;
    double nir_sd = 0.0;

    double bias = 0.0; // mean of NIR minus reference
    double bias_se = 0.0;
    double bias_limit = 0.0; // T_b = t(1 - alpha/2, n - 1) SEP / sqrt n; a larger bias is significant
    double bias_p = 1.0;
    double sep = 0.0;   // standard deviation of the differences, divisor n - 1
    double rmsep = 0.0; // root mean square of the differences, divisor n
    double mean_absolute = 0.0;

    // The line and its tests are missing when the NIR values or the reference values do not vary: a constant
    // side says nothing about a slope.
    std::optional<Line> line; // reference on NIR
    double slope_t = 0.0;     // |slope - 1| / se
    double slope_t_limit = 0.0;
    double slope_p = 1.0;
    double intercept_p = 1.0; // t test of intercept = 0

    std::optional<double> uecl; // SEP above it: worse than the calibration's own error allows
    std::optional<double> rpd;  // SD of the reference / SEP; missing when SEP is 0
    std::optional<double> rer;  // range of the reference / SEP
    double rmsep_bias_corrected = 0.0;
    std::optional<double> sep_line_corrected; // SD of the residuals about the line, divisor n - 1

    bool bias_significant = false;
    bool slope_significant = false;
    bool caution = false; // 10 <= n < 20: a verdict from few samples
    Advice advice = Advice::too_few;
    std::vector<OutlyingPair> outlying;
};

// Errors: spans of different length, fewer than 3 pairs, a value that is not finite.
Result<Agreement> agreement(std::span<const double> nir, std::span<const double> reference,
                            const AgreementOptions& options = {});

} // namespace thresh::stats

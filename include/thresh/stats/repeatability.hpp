// How far readings of one sample may lie apart, and tests for readings, means and variances that lie too far
// from the rest. All tests look at one constituent at a time and change nothing: what is done about an
// outlier is the caller's affair.
#pragma once

#include <optional>
#include <span>
#include <thresh/core/result.hpp>
#include <vector>

namespace thresh::stats {

// f(n): the factor that makes the repeatability standard deviation the critical range of n readings, the 95 %
// point of the range of n standard normals (ISO 5725-6 table 1 gives it with one decimal). n >= 2.
double critical_range_factor(int n, double probability = 0.95);

// Mean and standard deviation of the range of n standard normals (d2 and d3 of control charts). n >= 2.
struct RangeMoments {
    double mean = 0.0;
    double sd = 0.0;
};
RangeMoments range_moments(int n);

// Repeatability standard deviation and its degrees of freedom.
struct Repeatability {
    double sd = 0.0;
    double df = 0.0;
};

// From differences of duplicates: sqrt(sum d^2 / 2m). Empty for no differences.
std::optional<Repeatability> repeatability_from_differences(std::span<const double> differences);

// Pooled within-group standard deviation; groups of one reading add nothing. `group` numbers the group of
// each value, in any order. Empty when no group has two values.
std::optional<Repeatability> repeatability_from_groups(std::span<const double> values,
                                                       std::span<const int> group);

// What a laboratory quotes for a sample that was read several times (ISO 5725-6:1994, 5.2).
struct QuotedValue {
    double value = 0.0;
    bool median = false; // the range was beyond the critical one and no more readings follow: the median
    bool more_readings =
        false;          // the range is beyond the critical one and the procedure asks for more readings
    double range = 0.0; // of the readings used
    double critical_range = 0.0; // 0 for a single reading
    std::size_t readings_used = 0;
};

// Cheap tests ask for two more readings when two disagree (5.2.2.1), expensive ones for one (5.2.2.2).
enum class TestCost { cheap, expensive };

// The flow for readings in the order in which they were made. One reading is quoted as it is. More readings
// than the flow asks for are all used with their own critical range. `sd` > 0. Empty for no readings.
std::optional<QuotedValue> quoted_value(std::span<const double> readings, double sd,
                                        TestCost cost = TestCost::cheap);

enum class Tail { two_sided, upper, lower };

// Grubbs' test for one outlier. `p` is the Bonferroni bound from Student's t, which is exact where it is
// small.
struct GrubbsTest {
    double statistic = 0.0;
    double critical_5 = 0.0; // at 5 %: beyond is a straggler (ISO 5725-2)
    double critical_1 = 0.0; // at 1 %: beyond is an outlier
    double p = 1.0;
    std::size_t index = 0; // of the most extreme value; the first of equals
};

// (n - 1) / sqrt n * sqrt(t^2 / (n - 2 + t^2)) with t the upper alpha/n (one-sided) or alpha/2n point. n
// >= 3.
double grubbs_critical(std::size_t n, double alpha, Tail tail = Tail::two_sided);

// Empty below three values and for a constant set.
std::optional<GrubbsTest> grubbs_test(std::span<const double> values, Tail tail = Tail::two_sided);

// Cochran's test for the largest of several variances with n readings each.
struct CochranTest {
    double statistic = 0.0;
    double critical_5 = 0.0;
    double critical_1 = 0.0;
    double p = 1.0;
    std::size_t index = 0;
};

double cochran_critical(std::size_t groups, double n, double alpha);

// Empty below two variances, for n < 2 and when all variances are 0.
std::optional<CochranTest> cochran_test(std::span<const double> variances, double n);

// Generalised ESD procedure for up to `most` outliers (Rosner 1983): it sees outliers that mask each other.
struct RosnerStep {
    std::size_t index = 0; // of the value taken off in this step
    double statistic = 0.0;
    double critical = 0.0;
};
struct RosnerTest {
    std::vector<RosnerStep> steps;
    std::size_t outliers = 0; // the first so many steps name outliers
};

// At most n - 3 values are taken off, fewer when the rest is constant. The approximation is good from n = 25,
// fair from 15 on.
RosnerTest rosner_test(std::span<const double> values, std::size_t most, double alpha = 0.05);

} // namespace thresh::stats

// Grubbs, Cochran and generalised ESD through Student's t and Fisher's F. Critical values and p-values rest
// on Bonferroni's bound, as the published tables do; it is exact for p-values that are small.
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace thresh::stats {
namespace {

double deviation(double value, double centre, Tail tail) {
    return tail == Tail::upper   ? value - centre
           : tail == Tail::lower ? centre - value
                                 : std::fabs(value - centre);
}

// Index of the value that lies farthest from `centre`.
std::size_t farthest(std::span<const double> values, double centre, Tail tail) {
    std::size_t best = 0;
    for (std::size_t i = 1; i < values.size(); ++i)
        if (deviation(values[i], centre, tail) > deviation(values[best], centre, tail))
            best = i;
    return best;
}

// Largest standardised deviation that n values can show when the one beyond has the t value `t` on n - 2 df.
double from_t(double n, double t) {
    return (n - 1.0) / std::sqrt(n) * std::sqrt(t * t / (n - 2.0 + t * t));
}

} // namespace

double grubbs_critical(std::size_t n, double alpha, Tail tail) {
    assert(n >= 3 && alpha > 0.0 && alpha < 1.0);
    const double count = static_cast<double>(n);
    const double sides = tail == Tail::two_sided ? 2.0 : 1.0;
    return from_t(count, t_quantile(alpha / (sides * count), count - 2.0));
}

std::optional<GrubbsTest> grubbs_test(std::span<const double> values, Tail tail) {
    if (values.size() < 3)
        return std::nullopt;
    const double sd = *standard_deviation(values);
    if (sd <= 0.0)
        return std::nullopt;
    const double centre = *mean(values);
    const double n = static_cast<double>(values.size());
    GrubbsTest test;
    test.index = farthest(values, centre, tail);
    test.statistic = deviation(values[test.index], centre, tail) / sd;
    test.critical_5 = grubbs_critical(values.size(), 0.05, tail);
    test.critical_1 = grubbs_critical(values.size(), 0.01, tail);
    const double g2 = test.statistic * test.statistic;
    const double room = (n - 1.0) * (n - 1.0) - n * g2;
    const double sides = tail == Tail::two_sided ? 2.0 : 1.0;
    // room = 0: all other values are equal, the statistic is at its largest possible value.
    const double t = room > 0.0 ? std::sqrt(n * (n - 2.0) * g2 / room) : HUGE_VAL;
    test.p = std::min(1.0, sides * n * t_cdf(-t, n - 2.0));
    return test;
}

double cochran_critical(std::size_t groups, double n, double alpha) {
    assert(groups >= 2 && n >= 2.0);
    const double others = static_cast<double>(groups - 1);
    const double f = f_quantile(1.0 - alpha / static_cast<double>(groups), n - 1.0, others * (n - 1.0));
    return 1.0 / (1.0 + others / f);
}

std::optional<CochranTest> cochran_test(std::span<const double> variances, double n) {
    if (variances.size() < 2 || n < 2.0)
        return std::nullopt;
    double sum = 0.0;
    for (double variance : variances)
        sum += variance;
    if (sum <= 0.0)
        return std::nullopt;
    CochranTest test;
    test.index =
        static_cast<std::size_t>(std::max_element(variances.begin(), variances.end()) - variances.begin());
    test.statistic = variances[test.index] / sum;
    test.critical_5 = cochran_critical(variances.size(), n, 0.05);
    test.critical_1 = cochran_critical(variances.size(), n, 0.01);
    const double others = static_cast<double>(variances.size() - 1);
    const double f = test.statistic < 1.0 ? others * test.statistic / (1.0 - test.statistic) : HUGE_VAL;
    test.p = std::min(1.0, (others + 1.0) * f_upper(f, n - 1.0, others * (n - 1.0)));
    return test;
}

RosnerTest rosner_test(std::span<const double> values, std::size_t most, double alpha) {
    RosnerTest test;
    std::vector<double> left(values.begin(), values.end());
    std::vector<std::size_t> index(values.size());
    for (std::size_t i = 0; i < index.size(); ++i)
        index[i] = i;
    while (test.steps.size() < most && left.size() > 3) {
        const double sd = *standard_deviation(left);
        if (sd <= 0.0)
            break;
        const double centre = *mean(left);
        const std::size_t worst = farthest(left, centre, Tail::two_sided);
        const RosnerStep step{index[worst], std::fabs(left[worst] - centre) / sd,
                              grubbs_critical(left.size(), alpha, Tail::two_sided)};
        test.steps.push_back(step);
        if (step.statistic > step.critical)
            test.outliers = test.steps.size();
        left.erase(left.begin() + static_cast<std::ptrdiff_t>(worst));
        index.erase(index.begin() + static_cast<std::ptrdiff_t>(worst));
    }
    return test;
}

} // namespace thresh::stats

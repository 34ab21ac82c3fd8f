// Probabilities and quantiles of the distributions that the other folders need, so that no other folder has
// to know the library behind them. Degrees of freedom may be fractional and must be positive; infinite
// degrees of freedom give the normal limit. Probabilities given to quantiles lie in [0, 1]; 0 and 1 give
// infinities. Upper tails keep their relative precision however small they are.
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace thresh::stats {

double normal_cdf(double z);
double normal_upper(double z);
double normal_quantile(double p);

double t_cdf(double t, double df);
double t_quantile(double p, double df);
// Probability of |T| >= |t|.
double t_two_sided_p(double t, double df);

double f_upper(double f, double df1, double df2);
double f_quantile(double p, double df1, double df2);

double chi2_upper(double x, double df);
double chi2_quantile(double p, double df);

// Studentised range: the range of `groups` independent normals over an independent estimate of their standard
// deviation with `df` degrees of freedom (infinity: the range of standard normals). groups >= 2. By
// quadrature, absolute error below 1e-10 up to a thousand groups.
double studentized_range_cdf(double q, int groups, double df);
double studentized_range_quantile(double p, int groups, double df);

// Against which side the many-to-one comparisons are made: `greater` asks whether a treatment is above the
// control, `less` whether it is below.
enum class Side { two_sided, greater, less };

// Correlation loading of one comparison with a control: sqrt(n / (n + n_control)). Comparisons i and j have
// the correlation loading_i * loading_j (Dunnett 1955).
double dunnett_loading(double n, double n_control);

// Simultaneous p-value of each t statistic among all comparisons with one control (single-step Dunnett), by
// quadrature, unequal numbers allowed. One loading in [0, 1) for each statistic: the correlation of two is
// the product of theirs, as in one-way data and balanced trials. NaN statistics are left out of nothing:
// their p-value is NaN.
std::vector<double> dunnett_p(std::span<const double> t, std::span<const double> loadings, double df,
                              Side side = Side::two_sided);

// Both of the above and below at once, for less than the price of either twice.
struct DunnettTest {
    std::vector<double> p;
    double critical = 0.0;
};
DunnettTest dunnett_test(std::span<const double> t, double alpha, std::span<const double> loadings, double df,
                         Side side = Side::two_sided);

// The t value that all comparisons together exceed with probability `alpha` under no difference. 0 < alpha
// < 1.
double dunnett_critical(double alpha, std::span<const double> loadings, double df,
                        Side side = Side::two_sided);

} // namespace thresh::stats

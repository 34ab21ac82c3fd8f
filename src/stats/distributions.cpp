// Thin wrappers over Boost.Math with its errors turned into infinities or NaN, so that no exception leaves
// this file. Tails go through the complement; infinite degrees of freedom are passed to the limiting
// distribution.
#define BOOST_MATH_DOMAIN_ERROR_POLICY ignore_error
#define BOOST_MATH_POLE_ERROR_POLICY ignore_error
#define BOOST_MATH_OVERFLOW_ERROR_POLICY ignore_error
#define BOOST_MATH_EVALUATION_ERROR_POLICY ignore_error
#include <thresh/stats/distributions.hpp>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cassert>
#include <cmath>

namespace thresh::stats {
namespace {

using boost::math::complement;

constexpr double infinity = std::numeric_limits<double>::infinity();

} // namespace

double normal_cdf(double z) {
    return 0.5 * std::erfc(-z / std::sqrt(2.0));
}

double normal_upper(double z) {
    return 0.5 * std::erfc(z / std::sqrt(2.0));
}

double normal_quantile(double p) {
    assert(p >= 0.0 && p <= 1.0);
    if (p <= 0.0 || p >= 1.0)
        return p <= 0.0 ? -infinity : infinity;
    return boost::math::quantile(boost::math::normal(), p);
}

double t_cdf(double t, double df) {
    assert(df > 0.0);
    if (std::isinf(df) || std::isinf(t))
        return normal_cdf(t);
    return boost::math::cdf(boost::math::students_t(df), t);
}

double t_quantile(double p, double df) {
    assert(df > 0.0 && p >= 0.0 && p <= 1.0);
    if (std::isinf(df) || p <= 0.0 || p >= 1.0)
        return normal_quantile(p);
    return boost::math::quantile(boost::math::students_t(df), p);
}

double t_two_sided_p(double t, double df) {
    return 2.0 * t_cdf(-std::fabs(t), df);
}

double f_upper(double f, double df1, double df2) {
    assert(df1 > 0.0 && df2 > 0.0);
    if (f <= 0.0)
        return 1.0;
    if (std::isinf(f))
        return 0.0;
    if (std::isinf(df2))
        return chi2_upper(f * df1, df1);
    return boost::math::cdf(complement(boost::math::fisher_f(df1, df2), f));
}

double f_quantile(double p, double df1, double df2) {
    assert(df1 > 0.0 && df2 > 0.0 && p >= 0.0 && p <= 1.0);
    if (p <= 0.0 || p >= 1.0)
        return p <= 0.0 ? 0.0 : infinity;
    if (std::isinf(df2))
        return chi2_quantile(p, df1) / df1;
    return boost::math::quantile(boost::math::fisher_f(df1, df2), p);
}

double chi2_upper(double x, double df) {
    assert(df > 0.0);
    if (x <= 0.0)
        return 1.0;
    return std::isinf(x) ? 0.0 : boost::math::cdf(complement(boost::math::chi_squared(df), x));
}

double chi2_quantile(double p, double df) {
    assert(df > 0.0 && p >= 0.0 && p <= 1.0);
    if (p <= 0.0 || p >= 1.0)
        return p <= 0.0 ? 0.0 : infinity;
    return boost::math::quantile(boost::math::chi_squared(df), p);
}

} // namespace thresh::stats

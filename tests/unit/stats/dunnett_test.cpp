#include <thresh/stats/distributions.hpp>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

using namespace thresh::stats;

TEST_CASE("simultaneous p-values never fall below single ones nor above Bonferroni") {
    std::vector<double> t;
    std::vector<double> loadings;
    for (int i = 0; i < 200; ++i) {
        t.push_back(0.03 * i - 1.0);
        loadings.push_back(dunnett_loading(2 + i % 50, 8));
    }
    const auto p = dunnett_p(t, loadings, 60);
    for (std::size_t i = 0; i < t.size(); ++i) {
        CHECK(p[i] >= t_two_sided_p(t[i], 60));
        CHECK(p[i] <= std::min(1.0, 200 * t_two_sided_p(t[i], 60)) + 1e-12);
    }
}

TEST_CASE("many different loadings count one by one") {
    // By the trapezoidal rule over the control's error, known variance.
    const auto by_sum = [](double u, const std::vector<double>& loadings) {
        const double step = 0.005;
        double outside = 0.0;
        for (double z = -12.0; z <= 12.0; z += step) {
            double log_inside = 0.0;
            for (const double loading : loadings) {
                const double scale = std::sqrt(1.0 - loading * loading);
                log_inside += std::log1p(-normal_upper((u - loading * z) / scale) -
                                         normal_upper((u + loading * z) / scale));
            }
            outside +=
                step * std::exp(-0.5 * z * z) / std::sqrt(8.0 * std::atan(1.0)) * -std::expm1(log_inside);
        }
        return outside;
    };
    for (const auto& [low, high] : {std::pair(0.69, 0.72), std::pair(0.3, 0.9), std::pair(0.05, 0.98)}) {
        std::vector<double> loadings;
        for (int i = 0; i < 97; ++i)
            loadings.push_back(low + (high - low) * std::pow(i / 96.0, 1.7));
        for (const double u : {1.5, 3.0, 5.0}) {
            const std::vector<double> t(loadings.size(), u);
            const double p = dunnett_p(t, loadings, std::numeric_limits<double>::infinity())[0];
            INFO("loadings " << low << " to " << high << ", t " << u);
            CHECK(p == Approx(by_sum(u, loadings)).epsilon(1e-7));
        }
    }
}

TEST_CASE("a missing statistic keeps its place") {
    const std::vector<double> t{2.0, std::numeric_limits<double>::quiet_NaN(), 2.0};
    const std::vector<double> loadings(3, 0.7);
    const auto p = dunnett_p(t, loadings, 10);
    CHECK(std::isnan(p[1]));
    CHECK(p[0] == p[2]);
}

TEST_CASE("the critical value is where the p-value equals alpha") {
    const std::vector<double> loadings{0.5, 0.6, 0.7};
    for (const Side side : {Side::two_sided, Side::greater}) {
        const double critical = dunnett_critical(0.05, loadings, 9, side);
        const std::vector<double> t(3, critical);
        CHECK(dunnett_p(t, loadings, 9, side)[0] == Approx(0.05).epsilon(1e-8));
    }
}

TEST_CASE("an infinite t gives zero and zero gives one") {
    const std::vector<double> t{0.0, std::numeric_limits<double>::infinity()};
    const std::vector<double> loadings(2, 0.7);
    const auto p = dunnett_p(t, loadings, 20);
    CHECK(p[0] == Approx(1.0));
    CHECK(p[1] < 1e-20);
}

TEST_CASE("quantiles and tails are inverse to each other") {
    CHECK(normal_upper(normal_quantile(0.975)) == Approx(0.025).epsilon(1e-12));
    CHECK(t_cdf(t_quantile(0.9, 3.3), 3.3) == Approx(0.9).epsilon(1e-12));
    CHECK(f_upper(f_quantile(0.95, 3, 17), 3, 17) == Approx(0.05).epsilon(1e-12));
    CHECK(chi2_upper(chi2_quantile(0.9, 5), 5) == Approx(0.1).epsilon(1e-12));
    const double infinite = std::numeric_limits<double>::infinity();
    CHECK(f_quantile(0.95, 3, infinite) == Approx(f_quantile(0.95, 3, 1e9)).epsilon(1e-7));
    CHECK(t_quantile(0.95, infinite) == normal_quantile(0.95));
}

TEST_CASE("the test that gives both gives what either gives alone") {
    std::vector<double> t, loadings;
    for (int i = 0; i < 40; ++i) {
        t.push_back(0.2 * i - 3.0);
        loadings.push_back(dunnett_loading(2 + i % 5, 6));
    }
    for (const Side side : {Side::two_sided, Side::greater, Side::less}) {
        const auto both = dunnett_test(t, 0.05, loadings, 25, side);
        const auto p = dunnett_p(t, loadings, 25, side);
        CHECK(both.critical == Approx(dunnett_critical(0.05, loadings, 25, side)).epsilon(1e-9));
        for (std::size_t i = 0; i < t.size(); ++i)
            CHECK(both.p[i] == Approx(p[i]).epsilon(1e-9));
    }
}

TEST_CASE("classes of loadings are fine enough for five digits") {
    // 200 comparisons of unequal numbers: the same in classes and, at a fifth of them, one by one.
    std::vector<double> few, t;
    for (int i = 0; i < 24; ++i) {
        few.push_back(0.66 + 0.0035 * i);
        t.push_back(2.0 + 0.05 * i);
    }
    std::vector<double> many, many_t;
    for (const double loading : few)
        for (const double shift :
             {-0.0005, 0.0005}) { // two a class, each class in the middle where `few` has it
            many.push_back(loading + shift);
            many_t.push_back(2.5);
        }
    std::vector<double> doubled;
    for (const double loading : few)
        doubled.insert(doubled.end(), 2, loading);
    CHECK(dunnett_p(many_t, many, 60)[0] == Approx(dunnett_p(many_t, doubled, 60)[0]).epsilon(1e-5));
}

TEST_CASE("one comparison with about one degree of freedom has the critical value of Student") {
    for (const double df : {0.9999, 0.99996, 0.999962, 0.99999, 1.0, 1.00003, 1.001, 1.5})
        for (const double loading : {0.5, 0.7071, 0.9}) {
            const std::vector<double> loadings{loading};
            CHECK(dunnett_critical(0.05, loadings, df, Side::two_sided) ==
                  Approx(t_quantile(0.975, df)).epsilon(1e-5));
        }
}

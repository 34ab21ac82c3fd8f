// Critical ranges and outlier tests against printed tables and examples.
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/repeatability.hpp>

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace thresh::stats;

TEST_CASE("critical range factors of ISO 5725-6 table 1") {
    // ISO 5725-6:1994 table 1 (from memory), one decimal.
    const std::array<double, 19> printed{2.8, 3.3, 3.6, 3.9, 4.0, 4.2, 4.3, 4.4, 4.5, 4.6,
                                         4.6, 4.7, 4.7, 4.8, 4.8, 4.9, 4.9, 5.0, 5.0};
    for (std::size_t i = 0; i < printed.size(); ++i)
        CHECK(critical_range_factor(static_cast<int>(i) + 2) == Approx(printed[i]).margin(0.0501));
    CHECK(critical_range_factor(2) == Approx(1.959963984540054 * std::sqrt(2.0)).epsilon(1e-12));
    CHECK(critical_range_factor(20) == Approx(5.0117).margin(5e-5));
}

TEST_CASE("studentised range agrees with printed tables and identities") {
    // Printed tables of q (three digits, from memory); R's own values are compared in tests/interop/stats.
    CHECK(studentized_range_quantile(0.95, 3, 10) == Approx(3.88).margin(0.0051));
    CHECK(studentized_range_quantile(0.99, 5, 20) == Approx(5.29).margin(0.0051));
    CHECK(studentized_range_cdf(3.5, 2, std::numeric_limits<double>::infinity()) ==
          Approx(1.0 - 2.0 * normal_upper(3.5 / std::sqrt(2.0))).epsilon(1e-13));
    // Two groups: q = t sqrt 2, an identity.
    CHECK(studentized_range_quantile(0.95, 2, 7.5) ==
          Approx(std::sqrt(2.0) * t_quantile(0.975, 7.5)).epsilon(1e-10));
}

TEST_CASE("Grubbs on the NIST uranium isotope data") {
    // NIST/SEMATECH e-Handbook 1.3.5.17.1; two-sided value from public software for composite materials.
    const std::vector<double> values{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57};
    const auto test = grubbs_test(values);
    REQUIRE(test);
    CHECK(test->index == 7);
    CHECK(test->statistic == Approx(2.468764611).epsilon(1e-9));
    CHECK(grubbs_critical(8, 0.05, Tail::upper) == Approx(2.031652002).epsilon(1e-9));
    CHECK(grubbs_critical(8, 0.05) == Approx(2.126645087).epsilon(1e-9));
}

TEST_CASE("Grubbs critical values of ISO 5725-2 table 5") {
    // 1 % and 5 % for p = 3 to 20 (from memory, printed with three decimals).
    const std::array<std::array<double, 2>, 18> printed{{{1.155, 1.154},
                                                         {1.496, 1.481},
                                                         {1.764, 1.715},
                                                         {1.973, 1.887},
                                                         {2.139, 2.020},
                                                         {2.274, 2.127},
                                                         {2.387, 2.215},
                                                         {2.482, 2.290},
                                                         {2.564, 2.355},
                                                         {2.636, 2.412},
                                                         {2.699, 2.462},
                                                         {2.755, 2.507},
                                                         {2.806, 2.548},
                                                         {2.852, 2.586},
                                                         {2.894, 2.620},
                                                         {2.932, 2.652},
                                                         {2.968, 2.681},
                                                         {3.001, 2.708}}};
    for (std::size_t i = 0; i < printed.size(); ++i) {
        CHECK(grubbs_critical(i + 3, 0.01) == Approx(printed[i][0]).margin(0.00101));
        CHECK(grubbs_critical(i + 3, 0.05) == Approx(printed[i][1]).margin(0.00101));
    }
}

TEST_CASE("Cochran critical values of ISO 5725-2 table 4") {
    // From memory, three decimals.
    CHECK(cochran_critical(5, 2, 0.05) == Approx(0.841).margin(0.001));
    CHECK(cochran_critical(10, 2, 0.01) == Approx(0.718).margin(0.0011));
    CHECK(cochran_critical(6, 2, 0.01) == Approx(0.883).margin(0.001));
    CHECK(cochran_critical(20, 6, 0.05) == Approx(0.174).margin(0.001));
    CHECK(cochran_critical(2, 3, 0.05) == Approx(0.975).margin(0.001));
    // Invented pairs; statistic by hand.
    const std::vector<double> differences{0.1, -0.1, 0.1, 0.2, 0.8, -0.1};
    std::vector<double> variances;
    for (double d : differences)
        variances.push_back(d * d / 2.0);
    const auto test = cochran_test(variances, 2);
    CHECK(test->statistic == Approx(0.888889).margin(1e-6));
    CHECK(test->index == 4);
    CHECK(test->statistic > test->critical_1);
}

TEST_CASE("generalised ESD finds the three outliers that mask each other") {
    // Rosner 1983, 54 values, as printed in the NIST/SEMATECH e-Handbook 1.3.5.17.3 and in R documentation.
    const std::vector<double> values{-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49,
                                     1.49,  1.55, 1.56, 1.58, 1.65, 1.69, 1.70, 1.76, 1.77, 1.81, 1.91,
                                     1.94,  1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26,
                                     2.35,  2.37, 2.40, 2.47, 2.54, 2.62, 2.64, 2.90, 2.92, 2.92, 2.93,
                                     3.21,  3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01};
    REQUIRE(values.size() == 54);
    const RosnerTest test = rosner_test(values, 10);
    CHECK(test.outliers == 3);
    CHECK(test.steps[0].statistic == Approx(3.118906049).epsilon(1e-9));
    CHECK(test.steps[0].critical == Approx(3.158793941).epsilon(1e-9));
    CHECK(test.steps[1].statistic == Approx(2.942973114).epsilon(1e-9));
    CHECK(test.steps[1].critical == Approx(3.151430023).epsilon(1e-9));
    CHECK(test.steps[2].statistic == Approx(3.179423937).epsilon(1e-9));
    CHECK(test.steps[2].critical == Approx(3.143889685).epsilon(1e-9));
    CHECK(test.steps[3].statistic == Approx(2.810181144).epsilon(1e-9));
    CHECK(test.steps[3].critical == Approx(3.136164956).epsilon(1e-9));
}

TEST_CASE("repeatability of the invented duplicates") {
    // Invented differences; sqrt(sum d^2 / 2m) by hand.
    const std::vector<double> differences{0.12, -0.05, 0.20, -0.16, 0.03, 0.09, -0.11, 0.14, -0.02, 0.07};
    CHECK(repeatability_from_differences(differences)->sd == Approx(0.0801561).margin(1e-7));
    // Invented readings: an outlier at 1 %.
    const std::vector<double> readings{34.71, 34.85, 34.66, 34.79, 36.12};
    CHECK(grubbs_test(readings)->statistic == Approx(1.776269).margin(1e-6));
    CHECK(grubbs_test(readings)->p < 0.01);
}

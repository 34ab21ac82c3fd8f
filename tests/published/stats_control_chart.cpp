// Control charts against the examples of the NIST/SEMATECH e-Handbook and constants of printed tables.
#include <thresh/stats/control_chart.hpp>

#include <array>
#include <catch2/catch.hpp>

using namespace thresh::stats;

TEST_CASE("constants of control charts for n = 2 to 6") {
    // Printed tables give four digits (d2 1.128 1.693 2.059 2.326 2.534 ...); digits beyond by R's
    // integrate().
    const std::array<double, 5> d2{1.128379167, 1.692568751, 2.058750746, 2.325928947, 2.534412721};
    const std::array<double, 5> d3{0.8525024664, 0.888368004, 0.8798082028, 0.8640819411, 0.8480396861};
    const std::array<double, 5> c4{0.7978845608, 0.8862269255, 0.9213177319, 0.939985603, 0.9515328619};
    const std::array<double, 5> a2{1.879971206, 1.023326708, 0.7285971859, 0.5768193341, 0.4832460243};
    const std::array<double, 5> upper{3.266531919, 2.57459129, 2.282051561, 2.114499145, 2.003829817};
    for (std::size_t i = 0; i < d2.size(); ++i) {
        const ChartConstants constants = chart_constants(static_cast<int>(i) + 2);
        CHECK(constants.d2 == Approx(d2[i]).epsilon(1e-9));
        CHECK(constants.d3 == Approx(d3[i]).epsilon(1e-9));
        CHECK(constants.c4 == Approx(c4[i]).epsilon(1e-9));
        CHECK(constants.a2 == Approx(a2[i]).epsilon(1e-9));
        CHECK(constants.range_upper_factor == Approx(upper[i]).epsilon(1e-9));
    }
}

TEST_CASE("individuals chart of the e-Handbook 6.3.2.2") {
    // NIST/SEMATECH e-Handbook 6.3.2.2 (data from memory), with d2 = 1.128 as printed there.
    const std::vector<double> values{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
    const auto tabled = individuals_chart(values, western_electric, true);
    REQUIRE(tabled);
    CHECK(tabled->centre == Approx(50.81).margin(1e-9));
    CHECK(tabled->mean_moving_range == Approx(1.877777778).epsilon(1e-9));
    CHECK(tabled->upper == Approx(55.80408983).epsilon(1e-9));
    CHECK(tabled->lower == Approx(45.81591017).epsilon(1e-9));
    const auto exact = individuals_chart(values, western_electric);
    CHECK(exact->upper == Approx(55.80241168).epsilon(1e-9));
    CHECK(exact->lower == Approx(45.81758832).epsilon(1e-9));
}

TEST_CASE("tabular CUSUM of the e-Handbook 6.3.2.3") {
    // NIST/SEMATECH e-Handbook 6.3.2.3, as quoted by two public test suites.
    const std::vector<double> values{324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125,
                                     324.525, 325.225, 324.600, 324.625, 325.150, 328.325, 327.250,
                                     327.825, 328.500, 326.675, 327.775, 326.875, 328.350};
    const std::array<double, 20> high{0,      0,       0,       0,       0.0325,  0,      0,
                                      0,      0,       0,       0,       0,       3.0075, 4.9400,
                                      7.4475, 10.6300, 11.9875, 14.4450, 16.0025, 19.0350};
    const std::array<double, 20> low{0,      0.0075, 0, 0.3325, 0, 0, 0.5575, 0.7150, 0.1725, 0.2550,
                                     0.3125, 0,      0, 0,      0, 0, 0,      0,      0,      0};
    const Cusum cusum = tabular_cusum(values, 325.0, 0.3175, 4.1959);
    for (std::size_t i = 0; i < values.size(); ++i) {
        CHECK(cusum.high[i] == Approx(high[i]).margin(1e-9));
        CHECK(cusum.low[i] == Approx(low[i]).margin(1e-9));
        CHECK(has(cusum.signals[i], Signal::cusum_high) == (i >= 13));
        CHECK_FALSE(has(cusum.signals[i], Signal::cusum_low));
    }
}

TEST_CASE("EWMA of the e-Handbook 6.3.2.4") {
    // NIST/SEMATECH e-Handbook 6.3.2.4, as quoted by a public test suite.
    const std::vector<double> values{52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
                                     49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
    const std::array<double, 20> level{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
                                       50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99};
    const Ewma ewma = ewma_chart(values, 50.0, 2.0539, 0.3, 3.0);
    for (std::size_t i = 0; i < values.size(); ++i) {
        CHECK(ewma.level[i] == Approx(level[i]).margin(0.0051));
        CHECK(ewma.signals[i] == 0);
    }
    CHECK(ewma.steady_upper == Approx(52.588432).margin(1e-6));
    CHECK(ewma.steady_lower == Approx(47.411568).margin(1e-6));
    CHECK(ewma.upper[0] == Approx(51.848510).margin(1e-6));
}

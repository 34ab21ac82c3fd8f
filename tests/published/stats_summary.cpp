// Means, spreads and robust estimates against certified and published values.
#include <thresh/stats/summary.hpp>

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using namespace thresh::stats;

namespace {

// Correct digits, as the certified sets are scored.
double digits(double got, double certified) {
    if (got == certified)
        return 16.0;
    return -std::log10(std::fabs(got - certified) / std::fabs(certified));
}

// NIST StRD univariate NumAcc2 to NumAcc4: `first`, then 1000 (or 500) times the pair low, high.
std::vector<double> alternating(double first, double low, double high) {
    std::vector<double> values{first};
    for (int i = 0; i < 500; ++i) {
        values.push_back(low);
        values.push_back(high);
    }
    return values;
}

} // namespace

TEST_CASE("NIST StRD NumAcc sets reach the digits that doubles allow") {
    // NIST StRD, univariate; the sets follow from their description. Certified mean and standard deviation.
    const std::vector<double> accuracy1{10000001, 10000003, 10000002};
    CHECK(*mean(accuracy1) == 10000002.0);
    CHECK(*standard_deviation(accuracy1) == 1.0);
    const auto accuracy2 = alternating(1.2, 1.1, 1.3);
    CHECK(digits(*mean(accuracy2), 1.2) > 15.0);
    CHECK(digits(*standard_deviation(accuracy2), 0.1) > 14.5);
    const auto accuracy3 = alternating(1000000.2, 1000000.1, 1000000.3);
    CHECK(digits(*mean(accuracy3), 1000000.2) > 15.0);
    CHECK(digits(*standard_deviation(accuracy3), 0.1) > 9.3);
    const auto accuracy4 = alternating(10000000.2, 10000000.1, 10000000.3);
    CHECK(digits(*mean(accuracy4), 10000000.2) > 15.0);
    CHECK(digits(*standard_deviation(accuracy4), 0.1) > 8.0);
}

TEST_CASE("Algorithm A gives the robust mean of the creosote laboratories") {
    // Data: ISO 5725-5, creosote laboratory means. Expected: iteration by hand to full convergence.
    const std::vector<double> means{24.140, 20.155, 19.500, 20.300, 20.705, 17.570, 20.100, 20.940, 21.185};
    const auto robust = algorithm_a(means);
    REQUIRE(robust);
    CHECK(robust->converged);
    CHECK(robust->mean == Approx(20.412143).margin(1e-6));
    CHECK(robust->sd == Approx(1.069840).margin(1e-6));
    const auto four_steps = algorithm_a(means, 1e-12, 4);
    CHECK(four_steps->mean == Approx(20.411869).margin(1e-6));
    CHECK(four_steps->sd == Approx(1.038801).margin(1e-6));
    CHECK_FALSE(four_steps->converged);
}

TEST_CASE("Algorithm A on a second published set of six") {
    // Data: documentation of a public R package for interlaboratory studies. Expected: computed by hand.
    const std::vector<double> values{0.2640, 0.2670, 0.2960, 0.3110, 0.3310, 0.4246};
    CHECK(algorithm_a(values)->mean == Approx(0.309588).margin(1e-6));
    CHECK(algorithm_a(values)->sd == Approx(0.0526276).margin(1e-6));
}

TEST_CASE("robust z of the invented five protein readings") {
    // Invented data; (36.12 - 34.79) / (1.4826 * 0.08) by hand.
    const std::vector<double> values{34.71, 34.85, 34.66, 34.79, 36.12};
    CHECK(robust_z(values)[4] == Approx(11.2134).margin(1e-4));
    CHECK(*median_absolute_deviation(values) == Approx(0.08).margin(1e-12));
}

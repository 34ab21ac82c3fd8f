#include <thresh/stats/agreement.hpp>

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <vector>

using namespace thresh::stats;

TEST_CASE("agreement refuses two pairs, unpaired and non-finite values") {
    const std::vector<double> two{1, 2};
    const std::vector<double> three{1, 2, 3};
    const std::vector<double> broken{1, 2, std::numeric_limits<double>::infinity()};
    CHECK_FALSE(agreement(two, two));
    CHECK_FALSE(agreement(two, three));
    CHECK_FALSE(agreement(three, broken));
    CHECK(agreement(two, two).error().message.find("3 pairs") != std::string::npos);
}

TEST_CASE("three pairs give numbers without a verdict") {
    const std::vector<double> nir{34.1, 36.2, 38.0};
    const std::vector<double> reference{33.0, 35.2, 37.1};
    const auto result = agreement(nir, reference);
    REQUIRE(result);
    CHECK(result->advice == Advice::too_few);
    CHECK(result->bias == Approx(1.0).margin(0.001));
}

TEST_CASE("identical sides have no error and no ratio to it") {
    const std::vector<double> values{30, 31, 32, 33, 34, 35, 36, 37, 38, 39, 40, 41};
    const auto result = agreement(values, values);
    REQUIRE(result);
    CHECK(result->sep == 0.0);
    CHECK_FALSE(result->rpd);
    CHECK(result->advice == Advice::none_needed);
    CHECK(result->line->slope == Approx(1.0));
}

TEST_CASE("constant NIR values leave the line out") {
    const std::vector<double> nir(12, 35.0);
    const std::vector<double> reference{33, 34, 35, 36, 37, 35, 34, 36, 35, 35, 34, 37};
    const auto result = agreement(nir, reference);
    REQUIRE(result);
    CHECK_FALSE(result->line);
    CHECK(result->advice == Advice::none_needed);
}

TEST_CASE("reference values that are equal up to rounding give no line and no advice to correct one") {
    std::vector<double> nir;
    std::vector<double> reference;
    for (int i = 0; i < 25; ++i) {
        const double moisture = 5.0 + i * 4.0 / 24.0;
        nir.push_back(38.0 + (i * 7 % 25) * 4.0 / 24.0);
        const double as_is = 40.0 * (100.0 - moisture) / 100.0;
        reference.push_back(as_is * (100.0 / (100.0 - moisture))); // 40, rounded some times
    }
    REQUIRE(std::any_of(reference.begin(), reference.end(), [](double value) { return value != 40.0; }));
    const auto result = agreement(nir, reference);
    REQUIRE(result);
    CHECK_FALSE(result->line);
    CHECK(result->advice == Advice::none_needed);
    const auto mirrored = agreement(reference, nir);
    REQUIRE(mirrored);
    CHECK_FALSE(mirrored->line);
}

TEST_CASE("where the reference does not rise with NIR no correction is advised") {
    for (const std::size_t n : {std::size_t{12}, std::size_t{30}}) {
        std::vector<double> nir, reference;
        for (std::size_t i = 0; i < n; ++i) {
            nir.push_back(6.0 + 0.1 * static_cast<double>(i % 7));
            reference.push_back(9.0 - 0.01 * static_cast<double>(i % 7) + 0.05 * static_cast<double>(i % 3));
        }
        const auto result = agreement(nir, reference);
        REQUIRE(result);
        CHECK(result->slope_significant);
        CHECK(result->line->slope < 0);
        CHECK(result->advice == Advice::unrelated);
    }
}

TEST_CASE("an exact line with a slope other than 1 is certain to need a correction") {
    std::vector<double> nir;
    std::vector<double> reference;
    for (int i = 0; i < 24; ++i) {
        nir.push_back(i % 2 == 0 ? 38.0 : 40.0);
        reference.push_back(i % 2 == 0 ? 38.5 : 39.5);
    }
    const auto result = agreement(nir, reference);
    REQUIRE(result->line);
    CHECK(result->line->slope == Approx(0.5));
    CHECK(result->slope_p == 0.0);
    CHECK(result->intercept_p == 0.0);
    CHECK(result->line->r2 == 1.0);
    CHECK(result->advice == Advice::slope_and_bias);
}

TEST_CASE("rounding alone makes neither bias nor slope significant") {
    std::vector<double> nir;
    std::vector<double> reference;
    std::vector<double> shifted;
    for (int i = 0; i < 24; ++i) {
        reference.push_back(30.0 + 0.37 * i);
        nir.push_back(reference.back() / 0.93 * 0.93 * (i % 3 == 0 ? 1.0 + 2.3e-16 : 1.0));
        shifted.push_back(reference.back() + 0.1);
    }
    REQUIRE(nir != reference);
    const auto same = agreement(nir, reference);
    CHECK(same->bias == 0.0);
    CHECK(same->sep == 0.0);
    CHECK(same->bias_p == 1.0);
    CHECK(same->slope_p == 1.0);
    CHECK(same->intercept_p == 1.0);
    CHECK(same->advice == Advice::none_needed);
    const auto off = agreement(shifted, reference);
    CHECK(off->slope_p == 1.0);
    CHECK(off->intercept_p == 0.0);
    CHECK(off->bias_p == 0.0);
    CHECK(off->advice == Advice::subtract_bias);
}

TEST_CASE("a pair far from the others is named") {
    std::vector<double> nir;
    std::vector<double> reference;
    for (int i = 0; i < 30; ++i) {
        reference.push_back(30.0 + 0.3 * i);
        nir.push_back(reference.back() + (i % 3 - 1) * 0.1);
    }
    nir[17] += 4.0;
    const auto result = agreement(nir, reference);
    REQUIRE(result->outlying.size() == 1);
    CHECK(result->outlying[0].index == 17);
}

TEST_CASE("a constant shift asks for the bias alone") {
    std::vector<double> nir;
    std::vector<double> reference;
    for (int i = 0; i < 25; ++i) {
        reference.push_back(30.0 + 0.4 * i);
        nir.push_back(reference.back() + 0.5 + (i % 2 == 0 ? 0.1 : -0.1));
    }
    CHECK(agreement(nir, reference)->advice == Advice::subtract_bias);
}

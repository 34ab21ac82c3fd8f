#include <thresh/stats/agreement.hpp>

#include <catch2/catch.hpp>

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

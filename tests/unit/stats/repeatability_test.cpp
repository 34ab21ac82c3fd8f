#include <thresh/stats/repeatability.hpp>

#include <catch2/catch.hpp>
#include <cmath>

using namespace thresh::stats;

TEST_CASE("two readings within the critical range are quoted by their mean") {
    const std::vector<double> readings{34.2, 34.4};
    const auto quoted = quoted_value(readings, 0.18);
    REQUIRE(quoted);
    CHECK(quoted->value == Approx(34.3));
    CHECK_FALSE(quoted->median);
    CHECK_FALSE(quoted->more_readings);
    CHECK(quoted->critical_range == Approx(2.771808 * 0.18).epsilon(1e-6));
}

TEST_CASE("two readings too far apart ask for more, four are then judged by their own range") {
    const std::vector<double> two{34.2, 35.4};
    CHECK(quoted_value(two, 0.18)->more_readings);
    const std::vector<double> four{34.2, 35.4, 34.3, 34.4};
    const auto quoted = quoted_value(four, 0.18);
    CHECK(quoted->median);
    CHECK_FALSE(quoted->more_readings);
    CHECK(quoted->value == Approx(34.35));
    const std::vector<double> close{34.2, 34.75, 34.3, 34.4};
    CHECK_FALSE(quoted_value(close, 0.18)->median);
    CHECK(quoted_value(close, 0.18)->value == Approx(34.4125));
}

TEST_CASE("three readings end the expensive flow and not the cheap one") {
    const std::vector<double> readings{10.0, 12.0, 13.0};
    CHECK(quoted_value(readings, 0.1, TestCost::cheap)->more_readings);
    CHECK_FALSE(quoted_value(readings, 0.1, TestCost::expensive)->more_readings);
    CHECK(quoted_value(readings, 0.1, TestCost::expensive)->value == 12.0);
}

TEST_CASE("a single reading is quoted as it is and nothing gives nothing") {
    const std::vector<double> one{34.2};
    CHECK(quoted_value(one, 0.18)->value == 34.2);
    CHECK_FALSE(quoted_value({}, 0.18));
}

TEST_CASE("groups of one reading do not count for repeatability") {
    const std::vector<double> values{34.0, 34.2, 40.0, 35.0, 35.2};
    const std::vector<int> group{1, 1, 2, 3, 3};
    const auto found = repeatability_from_groups(values, group);
    REQUIRE(found);
    CHECK(found->df == 2.0);
    CHECK(found->sd == Approx(std::sqrt(0.02)));
    const std::vector<int> alone{1, 2, 3, 4, 5};
    CHECK_FALSE(repeatability_from_groups(values, alone));
}

TEST_CASE("outlier tests refuse what they cannot judge") {
    const std::vector<double> two{1, 2};
    const std::vector<double> constant(6, 3.3);
    CHECK_FALSE(grubbs_test(two));
    CHECK_FALSE(grubbs_test(constant));
    const std::vector<double> zeros(4, 0.0);
    CHECK_FALSE(cochran_test(zeros, 2));
    CHECK(rosner_test(constant, 3).steps.empty());
    CHECK(rosner_test(two, 3).outliers == 0);
}

TEST_CASE("one deviating value among equals is the surest outlier there is") {
    const std::vector<double> values{5, 5, 5, 5, 5, 5, 9};
    const auto test = grubbs_test(values);
    CHECK(test->index == 6);
    CHECK(test->p < 1e-6);
    CHECK(test->statistic > test->critical_1);
}

TEST_CASE("Grubbs looks only at the side that was asked for") {
    const std::vector<double> values{1, 5, 5.1, 5.2, 5.3, 5.4};
    CHECK(grubbs_test(values, Tail::lower)->index == 0);
    CHECK(grubbs_test(values, Tail::upper)->index == 5);
    CHECK(grubbs_test(values, Tail::lower)->p < 0.01);
    CHECK(grubbs_test(values, Tail::upper)->p > 0.5);
}

#include <thresh/stats/control_chart.hpp>

#include <catch2/catch.hpp>

using namespace thresh::stats;

namespace {

std::vector<Signals> rule(std::vector<double> z, Signal signal) {
    return run_rules(z, 0.0, 1.0, bit(signal));
}
bool last(const std::vector<double>& z, Signal signal) {
    return rule(z, signal).back() != 0;
}

} // namespace

TEST_CASE("a point on the limit is inside and one beyond it is out") {
    CHECK_FALSE(last({3.0}, Signal::beyond_action));
    CHECK(last({3.01}, Signal::beyond_action));
    CHECK(last({-3.01}, Signal::beyond_action));
    CHECK(last({2.1}, Signal::beyond_warning));
}

TEST_CASE("two of three beyond two sigma must lie on one side") {
    CHECK(last({2.1, 0, 2.2}, Signal::two_of_three));
    CHECK(last({2.1, 2.2}, Signal::two_of_three));
    CHECK_FALSE(last({2.1, 0, -2.2}, Signal::two_of_three));
    CHECK_FALSE(last({2.1, 2.2, 0}, Signal::two_of_three));
    CHECK_FALSE(last({2.1, 0, 0, 2.2}, Signal::two_of_three));
}

TEST_CASE("four of five beyond one sigma") {
    CHECK(last({1.1, 1.2, 0, 1.3, 1.4}, Signal::four_of_five));
    CHECK_FALSE(last({1.1, 1.2, 0, -1.3, 1.4}, Signal::four_of_five));
    CHECK_FALSE(last({1.1, 0, 0, 1.3, 1.4}, Signal::four_of_five));
}

TEST_CASE("runs on one side count eight and nine and break at the centre line") {
    std::vector<double> run(8, 0.5);
    CHECK(last(run, Signal::run_of_eight));
    CHECK_FALSE(last(run, Signal::run_of_nine));
    run.push_back(0.1);
    CHECK(last(run, Signal::run_of_nine));
    run[4] = 0.0;
    CHECK_FALSE(last(run, Signal::run_of_eight));
}

TEST_CASE("six steadily rising points are a trend, five or a tie are none") {
    CHECK(last({1, 2, 3, 4, 5, 6}, Signal::six_trend));
    CHECK(last({6, 5, 4, 3, 2, 1}, Signal::six_trend));
    CHECK_FALSE(last({2, 3, 4, 5, 6}, Signal::six_trend));
    CHECK_FALSE(last({1, 2, 2, 4, 5, 6}, Signal::six_trend));
}

TEST_CASE("fourteen alternating points signal and thirteen do not") {
    std::vector<double> z;
    for (int i = 0; i < 13; ++i)
        z.push_back(i % 2 == 0 ? 0.5 : -0.5);
    CHECK_FALSE(last(z, Signal::fourteen_alternate));
    z.push_back(-0.5);
    CHECK(last(z, Signal::fourteen_alternate));
}

TEST_CASE("fifteen too close and eight too far from the centre signal") {
    CHECK(last(std::vector<double>(15, 0.9), Signal::fifteen_within));
    CHECK_FALSE(last(std::vector<double>(14, 0.9), Signal::fifteen_within));
    CHECK(last({1.1, -1.1, 1.1, -1.1, 1.1, -1.1, 1.1, -1.1}, Signal::eight_outside));
}

TEST_CASE("an individuals chart needs values that differ") {
    const std::vector<double> constant(5, 40.1);
    const std::vector<double> one{40.1};
    CHECK_FALSE(individuals_chart(constant, western_electric));
    CHECK_FALSE(individuals_chart(one, western_electric));
    const std::vector<double> step{1, 2, 1, 2, 1, 2, 9};
    const auto chart = individuals_chart(step, western_electric);
    REQUIRE(chart);
    CHECK(has(chart->signals.back(), Signal::moving_range));
    CHECK_FALSE(has(chart->signals.front(), Signal::moving_range));
}

TEST_CASE("every signal has its words") {
    for (std::uint32_t i = 0; i < 15; ++i)
        CHECK_FALSE(words(static_cast<Signal>(1U << i)).empty());
}

TEST_CASE("a moving average with lambda one is a plain chart") {
    const std::vector<double> values{0.0, 3.5, -3.5};
    const Ewma ewma = ewma_chart(values, 0.0, 1.0, 1.0, 3.0);
    CHECK(ewma.signals[0] == 0);
    CHECK(has(ewma.signals[1], Signal::ewma_high));
    CHECK(has(ewma.signals[2], Signal::ewma_low));
}

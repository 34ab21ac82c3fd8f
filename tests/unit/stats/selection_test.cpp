#include <thresh/stats/random.hpp>
#include <thresh/stats/selection.hpp>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <set>

using namespace thresh::stats;

TEST_CASE("ties go to the lowest row and picks never repeat") {
    const Table square{{0, 0, 1, 0, 0, 1, 1, 1}, 4, 2};
    const auto picks = kennard_stone(square, 10);
    REQUIRE(picks);
    REQUIRE(picks->size() == 4);
    CHECK((*picks)[0].row == 0);
    CHECK((*picks)[1].row == 3);
    CHECK((*picks)[2].row == 1);
    CHECK((*picks)[3].row == 2);
}

TEST_CASE("forced samples count as picked and push others away") {
    const Table line{{0, 1, 2, 3, 10}, 5, 1};
    const std::vector<std::size_t> forced{4};
    const auto picks = kennard_stone(line, 2, forced);
    REQUIRE(picks->size() == 2);
    CHECK((*picks)[0].row == 0);
    CHECK((*picks)[0].distance == 10.0);
    CHECK((*picks)[0].nearest == 4);
    CHECK((*picks)[1].row == 3);
    const std::vector<std::size_t> wrong{9};
    CHECK_FALSE(kennard_stone(line, 2, wrong));
}

TEST_CASE("small and odd tables are handled") {
    CHECK(kennard_stone(Table{}, 3)->empty());
    CHECK(kennard_stone(Table{{1.0}, 1, 1}, 3)->size() == 1);
    CHECK(kennard_stone(Table{{1.0, 2.0}, 2, 1}, 1)->size() == 1);
    CHECK(kennard_stone(Table{{1.0, 2.0}, 2, 1}, 0)->empty());
    CHECK_FALSE(kennard_stone(Table{{1.0, std::numeric_limits<double>::quiet_NaN()}, 2, 1}, 1));
}

TEST_CASE("standardising gives unit spread and keeps constant columns at zero") {
    const Table table{{1, 7, 2, 7, 3, 7}, 3, 2};
    const Table result = standardized(table);
    CHECK(result.at(0, 0) == Approx(-1.0));
    CHECK(result.at(2, 0) == Approx(1.0));
    CHECK(result.at(1, 1) == 0.0);
}

TEST_CASE("random orders hold every number once and repeat with their seed") {
    const auto order = random_order(50, 11);
    CHECK(std::set<std::size_t>(order.begin(), order.end()).size() == 50);
    CHECK(order == random_order(50, 11));
    CHECK(order != random_order(50, 12));
    CHECK(random_order(0, 1).empty());
}

TEST_CASE("uniform numbers fill the unit interval evenly") {
    double sum = 0.0;
    double squares = 0.0;
    for (std::uint64_t i = 0; i < 10000; ++i) {
        const double u = random_uniform(5, 2, i);
        CHECK_FALSE((u <= 0.0 || u >= 1.0));
        sum += u;
        squares += u * u;
    }
    CHECK(sum / 10000 == Approx(0.5).margin(0.012));
    CHECK(squares / 10000 == Approx(1.0 / 3.0).margin(0.012));
}

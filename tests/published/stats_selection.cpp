// Selection of samples against the example worked by hand.
#include <thresh/stats/selection.hpp>

#include <array>
#include <catch2/catch.hpp>

using namespace thresh::stats;

TEST_CASE("Kennard and Stone on eight points in the plane") {
    // Invented points; order and distances by hand from the rule of Kennard and Stone (1969).
    const Table points{{0, 0, 1, 0.5, 2, 3, 4, 1, 5, 5, 0, 4, 3, 3, 5, 0}, 8, 2};
    const auto picks = kennard_stone(points, 6);
    REQUIRE(picks);
    const std::array<std::size_t, 6> order{1, 5, 8, 6, 7, 4};
    const std::array<double, 6> distance{7.0711, 7.0711, 5.0, 4.0, 2.8284, 1.4142};
    for (std::size_t i = 0; i < order.size(); ++i) {
        CHECK((*picks)[i].row + 1 == order[i]);
        CHECK((*picks)[i].distance == Approx(distance[i]).margin(5e-5));
    }
}

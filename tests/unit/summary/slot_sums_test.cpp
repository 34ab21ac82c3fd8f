#include "summary/slot_sums.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>
#include <random>
#include <vector>

using namespace thresh::summary;

TEST_CASE(
    "sums by slot are the same, bit by bit, with wider registers and without, for any number of slots") {
    std::mt19937 twister(11); // the same numbers on every machine
    for (std::size_t slots = 0; slots <= 35; ++slots) {
        std::vector<double> wide(slots, 0.0), plain(slots, 0.0), value(slots);
        std::vector<std::uint32_t> wide_n(slots, 0), plain_n(slots, 0);
        for (int reading = 0; reading < 20; ++reading) {
            for (double& v : value)
                v = twister() % 4 == 0 ? std::nan("") : static_cast<double>(twister()) / 7e6 - 100;
            add_values(value.data(), slots, wide.data(), wide_n.data());
            add_values_plainly(value.data(), slots, plain.data(), plain_n.data());
        }
        CHECK(wide_n == plain_n);
        CHECK((slots == 0 || std::memcmp(wide.data(), plain.data(), slots * sizeof(double)) == 0));
    }
}

TEST_CASE("a value that is not there adds nothing and is not counted") {
    const double value[] = {1.5, std::nan(""), 2};
    double sum[] = {1, 1, 1};
    std::uint32_t n[] = {0, 3, 1};
    add_values(value, 3, sum, n);
    CHECK((sum[0] == 2.5 && sum[1] == 1 && sum[2] == 3));
    CHECK((n[0] == 1 && n[1] == 3 && n[2] == 2));
}

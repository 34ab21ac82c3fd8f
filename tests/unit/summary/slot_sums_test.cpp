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
        std::vector<double> wide_squares(slots, 0.0), plain_squares(slots, 0.0), mean(slots, 6.5);
        std::vector<std::uint32_t> wide_n(slots, 0), plain_n(slots, 0);
        const auto same = [&](const std::vector<double>& a, const std::vector<double>& b) {
            return slots == 0 || std::memcmp(a.data(), b.data(), slots * sizeof(double)) == 0;
        };
        for (int reading = 0; reading < 20; ++reading) {
            for (double& v : value)
                v = twister() % 4 == 0 ? std::nan("") : static_cast<double>(twister()) / 7e6 - 100;
            add_values(value.data(), slots, wide.data(), wide_n.data());
            add_values_plainly(value.data(), slots, plain.data(), plain_n.data());
            add_squares(value.data(), mean.data(), slots, wide_squares.data());
            add_squares_plainly(value.data(), mean.data(), slots, plain_squares.data());
        }
        CHECK(wide_n == plain_n);
        CHECK(same(wide, plain));
        CHECK(same(wide_squares, plain_squares));
        for (std::size_t slot = 0; slot < slots; slot += 3)
            wide_n[slot] = 0;
        divide_sums(wide_n.data(), slots, wide.data());
        divide_sums_plainly(wide_n.data(), slots, plain.data());
        CHECK(same(wide, plain));
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

TEST_CASE("a mean is the sum over the count, and nothing where nothing is counted") {
    for (const bool plainly : {false, true}) {
        double sum[] = {3, 5, 0, -1, 8};
        const std::uint32_t n[] = {2, 1, 0, 4, 0};
        (plainly ? divide_sums_plainly : divide_sums)(n, 5, sum);
        CHECK((sum[0] == 1.5 && sum[1] == 5 && sum[3] == -0.25));
        CHECK((std::isnan(sum[2]) && std::isnan(sum[4])));
    }
}

TEST_CASE("squares are of the distance to the mean, and of nothing where there is no value") {
    for (const bool plainly : {false, true}) {
        const double value[] = {3, std::nan(""), 1, 7, 2}, mean[] = {1, 2, 1, 4, 4};
        double squares[] = {1, 1, 1, 0, 0};
        (plainly ? add_squares_plainly : add_squares)(value, mean, 5, squares);
        CHECK((squares[0] == 5 && squares[1] == 1 && squares[2] == 1 && squares[3] == 9 && squares[4] == 4));
    }
}

#include <catch2/catch.hpp>

#include <charconv>
#include <string>
#include <thresh/core/cell.hpp>

using thresh::Cell;
using thresh::CellState;

TEST_CASE("a cell gives back the digits and decimals it was made from") {
    const Cell cell = Cell::decimal(-3649, 2);
    CHECK(cell.state() == CellState::number);
    CHECK(cell.digits() == -3649);
    CHECK(cell.decimals() == 2);
    CHECK(thresh::to_double(cell) == -36.49);
    CHECK(Cell::decimal(Cell::kMaxDigits, 9).digits() == Cell::kMaxDigits);
    CHECK(Cell::decimal(-Cell::kMaxDigits, 0).digits() == -Cell::kMaxDigits);
}

TEST_CASE("a cell that was never set is missing, not zero") {
    CHECK(Cell().state() == CellState::missing);
    CHECK_FALSE(Cell().is_number());
    CHECK(Cell::decimal(0, 0).is_number());
}

TEST_CASE("states with a side entry keep its index") {
    CHECK(Cell::below_limit(7).state() == CellState::below_limit);
    CHECK(Cell::below_limit(7).side() == 7);
    CHECK(Cell::unreadable(0).state() == CellState::unreadable);
    CHECK(Cell::doubtful(1000000).side() == 1000000);
    CHECK(Cell::wide(3).is_number());
    CHECK_FALSE(Cell::wide(3).is_decimal());
}

TEST_CASE("digits over a power of ten is the correctly rounded double") {
    for (int digits = 0; digits <= 99999; ++digits) {
        const std::string text =
            std::to_string(digits / 1000) + "." + std::to_string(1000 + digits % 1000).substr(1);
        double expected = 0;
        std::from_chars(text.data(), text.data() + text.size(), expected);
        REQUIRE(thresh::to_double(Cell::decimal(digits, 3)) == expected);
    }
}

#include "rules/limits.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using thresh::Cell;
using thresh::rules::CellWindow;

// The straightforward comparison that the window is to save.
static bool within(Cell cell, double low, double high, double factor) {
    const double value = to_double(cell) * factor;
    return value >= low && value <= high;
}

TEST_CASE("a window holds nothing that lies outside its bounds, whatever the decimals") {
    for (const double factor : {1.0, 100.0 / 87.0, 87.0 / 100.0, 0.3333})
        for (const auto& [low, high] : {std::pair(0.0, 100.0), std::pair(5.0, 8.0), std::pair(-1.5, 0.25)}) {
            const CellWindow window(low, high, factor);
            for (unsigned decimals = 0; decimals <= 5; ++decimals)
                for (const double bound : {low, high}) {
                    const auto middle =
                        static_cast<std::int32_t>(std::lround(bound / factor * std::pow(10.0, decimals)));
                    for (std::int32_t digits = middle - 5; digits <= middle + 5; ++digits) {
                        const Cell cell = Cell::decimal(digits, decimals);
                        if (window.holds(cell))
                            CHECK(within(cell, low, high, factor));
                    }
                }
        }
}

TEST_CASE("a window for two factors holds nothing that lies outside its bounds at either or between") {
    const double factors[] = {87.0 / 96.0, 87.0 / 93.0, 87.0 / 90.0};
    for (const auto& [low, high] : {std::pair(0.0, 100.0), std::pair(5.0, 8.0), std::pair(-1.5, -0.25)})
        for (const CellWindow& window :
             {CellWindow(low, high, factors[0], factors[2]), CellWindow(low, high, factors[2], factors[0])}) {
            bool any = false;
            for (unsigned decimals = 0; decimals <= 3; ++decimals)
                for (std::int32_t digits = -2000; digits <= 12000; ++digits) {
                    const Cell cell = Cell::decimal(digits, decimals);
                    if (!window.holds(cell))
                        continue;
                    any = true;
                    for (const double factor : factors)
                        if (!within(cell, low, high, factor))
                            FAIL("holds " << digits << " / 10^" << decimals << " at " << factor);
                }
            CHECK(any);
        }
}

TEST_CASE("a window holds what lies well inside, open bounds included") {
    CHECK(CellWindow(5, 8, 1).holds(Cell::decimal(650, 2)));
    CHECK(CellWindow(5, 8, 1).holds(Cell::decimal(6500, 3)));
    CHECK(CellWindow(-std::numeric_limits<double>::infinity(), 8, 1).holds(Cell::decimal(-9999, 0)));
    CHECK(
        CellWindow(5, std::numeric_limits<double>::infinity(), 1).holds(Cell::decimal(Cell::kMaxDigits, 0)));
}

TEST_CASE("only missing cells are within every window, what stands beside the decimals never is") {
    for (const CellWindow& window : {CellWindow(), CellWindow(0, 100, 1)}) {
        CHECK(window.holds(Cell()));
        for (const Cell cell : {Cell::wide(0), Cell::below_limit(7), Cell::unreadable(1), Cell::doubtful(2)})
            CHECK_FALSE(window.holds(cell));
    }
    CHECK_FALSE(CellWindow().holds(Cell::decimal(1, 0)));
}

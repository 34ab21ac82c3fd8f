#include "rules/limits.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <memory>
#include <random>

using thresh::Block;
using thresh::Cell;
using thresh::rules::CellWindow;
using thresh::rules::RowWindows;
using thresh::rules::SumWindow;

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

// Rows of `columns` cells; the first row tells the decimals.
static Block block_of(std::size_t columns, const std::vector<Cell>& cells) {
    thresh::TableColumns table;
    table.numbers.resize(columns);
    Block block;
    block.table = std::make_shared<const thresh::TableColumns>(std::move(table));
    block.rows = cells.size() / columns;
    block.cells.assign(cells.begin(), cells.end());
    return block;
}

TEST_CASE("a row is held when each cell lies in the window of its column, and only then") {
    constexpr std::size_t kColumns = 23;
    std::mt19937 random(1);
    const auto pick = [&](unsigned below) { return static_cast<std::int32_t>(random() % below); };
    std::vector<Cell> cells;
    for (int row = 0; row < 2000; ++row)
        for (std::size_t c = 0; c < kColumns; ++c) {
            const std::int32_t which = row == 0 ? 99 : pick(100);
            cells.push_back(which == 0   ? Cell::decimal(-1, 2)
                            : which == 1 ? Cell::decimal(9000, 2)
                            : which == 2 ? Cell::decimal(pick(9000), 3) // not the column's decimals
                            : which == 3 ? Cell::below_limit(3)
                            : which < 8  ? Cell()
                                         : Cell::decimal(100 + pick(5000), 2));
        }
    const Block block = block_of(kColumns, cells);
    const CellWindow window(0, 60, 1);
    RowWindows windows(block, 0);
    for (std::size_t c = 2; c < kColumns; ++c) // the first two may be anything
        windows.set(c, window);
    std::size_t held = 0;
    for (std::size_t row = 0; row < block.rows; ++row) {
        bool each = true;
        for (std::size_t c = 2; c < kColumns; ++c) {
            const Cell cell = block.cell(row, c);
            each = each && window.holds(cell) && (cell.is_missing() || cell.decimals() == 2);
        }
        CHECK(windows.hold(block, row) == each);
        held += each ? 1 : 0;
    }
    CHECK(held > 500);
    CHECK(held < 1900);
}

TEST_CASE("a row without the cell that it needs is not held") {
    const Block block = block_of(2, {Cell::decimal(65, 1), Cell::decimal(12, 0), Cell(), Cell::decimal(12, 0),
                                     Cell::decimal(65, 1), Cell()});
    RowWindows windows(block, 0);
    windows.set(1, CellWindow(0, 100, 1));
    windows.set(0, CellWindow(4, 10, 1), RowWindows::Missing::not_held);
    CHECK(windows.hold(block, 0));
    CHECK_FALSE(windows.hold(block, 1));
    CHECK(windows.hold(block, 2));
    windows.hold_none();
    CHECK_FALSE(windows.hold(block, 0));
}

TEST_CASE("a row is held when its cells lie in all windows of their columns") {
    std::vector<Cell> cells;
    for (std::int32_t digits = 0; digits <= 120; ++digits)
        cells.push_back(Cell::decimal(digits, 0));
    cells.push_back(Cell());
    const Block block = block_of(1, cells);
    for (const auto missing : {RowWindows::Missing::held, RowWindows::Missing::not_held}) {
        RowWindows windows(block, 0), none(block, 0);
        windows.set(0, CellWindow(20, 50, 1), missing);
        windows.set(0, CellWindow(30, 90, 1));
        windows.set(0, CellWindow(0, 100, 1));
        none.set(0, CellWindow(20, 50, 1), missing);
        none.set(0, CellWindow(60, 90, 1));
        for (std::size_t row = 0; row + 1 < block.rows; ++row) {
            CHECK(windows.hold(block, row) == (row > 30 && row < 50));
            CHECK_FALSE(none.hold(block, row));
        }
        CHECK(windows.hold(block, block.rows - 1) == (missing == RowWindows::Missing::held));
    }
}

TEST_CASE("a sum that is held lies within its bounds or cannot be made, and most that do are held") {
    std::mt19937 random(2);
    const auto pick = [&](int from, int to) {
        return from + static_cast<std::int32_t>(random() % static_cast<unsigned>(to - from + 1));
    };
    std::vector<Cell> cells = {Cell::decimal(40, 0), Cell::decimal(500, 1), Cell::decimal(10125, 3),
                               Cell::decimal(25, 1)};
    for (int row = 0; row < 5000; ++row) {
        const int odd = pick(0, 99);
        cells.push_back(odd == 0 ? Cell() : odd == 1 ? Cell::wide(0) : Cell::decimal(pick(38, 42), 0));
        cells.push_back(odd == 2 ? Cell::decimal(pick(4900, 5100), 2) : Cell::decimal(pick(490, 510), 1));
        cells.push_back(odd == 3 ? Cell::below_limit(1) : Cell::decimal(pick(9000, 11000), 3));
        cells.push_back(pick(0, 1) == 0 ? Cell() : Cell::decimal(pick(-30, 30), 1));
    }
    const Block block = block_of(4, cells);
    const double low = 98, high = 102, open = std::numeric_limits<double>::infinity();
    const SumWindow both(block, 0, {0, 1, 2}, {3}, low, high), above(block, 0, {2, 0, 1}, {3}, low, open);
    std::size_t held = 0, within_bounds = 0, not_made = 0;
    for (std::size_t row = 0; row < block.rows; ++row) {
        double sum = 0;
        for (std::size_t c = 0; c < 3; ++c)
            sum += block.cell(row, c).or_nan();
        const bool made = !block.cell(row, 0).is_missing();
        sum += block.cell(row, 3).is_missing() ? 0 : block.cell(row, 3).or_nan();
        if (made && both.holds(block, row))
            CHECK((sum >= low && sum <= high));
        if (made && above.holds(block, row))
            CHECK(sum >= low);
        held += both.holds(block, row) ? 1 : 0;
        within_bounds += sum >= low && sum <= high ? 1 : 0;
        not_made += made ? 0 : 1;
    }
    CHECK(within_bounds > 2000);
    CHECK(not_made > 20);
    CHECK(held > (within_bounds + not_made) * 9 / 10);
    CHECK(held < within_bounds + not_made);
}

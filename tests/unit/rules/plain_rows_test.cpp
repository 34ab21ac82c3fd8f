#include "rules/plain_rows.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <memory>
#include <random>

using thresh::Block;
using thresh::Cell;
using namespace thresh::rules;

namespace {

std::mt19937 twister(3); // the same numbers on every machine
std::int32_t pick(std::int32_t from, std::int32_t to) {
    return from + static_cast<std::int32_t>(twister() % static_cast<unsigned>(to - from + 1));
}

// Most cells as they usually are, 3.00 to 5.00; a few of everything else. The first row tells the decimals.
Block some_block(std::size_t columns, std::size_t rows) {
    thresh::TableColumns table;
    table.numbers.resize(columns);
    Block block;
    block.table = std::make_shared<const thresh::TableColumns>(std::move(table));
    block.rows = rows;
    for (std::size_t i = 0; i < columns * rows; ++i)
        switch (i < columns ? 99 : pick(0, 199)) {
        case 0:
            block.cells.push_back(Cell::decimal(pick(0, 9000), 3));
            break;
        case 1:
            block.cells.push_back(Cell::decimal(pick(-Cell::kMaxDigits, Cell::kMaxDigits), 2));
            break;
        case 2:
            block.cells.push_back(Cell::wide(0));
            break;
        case 3:
        case 4:
        case 5:
            block.cells.push_back(Cell());
            break;
        default:
            block.cells.push_back(Cell::decimal(pick(300, 500), 2));
        }
    return block;
}

struct Made {
    RowWindows windows;
    std::vector<SumWindow> sums;
};

// Windows for some columns, and sums of some.
Made some_windows(const Block& block, std::size_t sums) {
    const auto columns = static_cast<std::int32_t>(block.table->numbers.size());
    Made made{RowWindows(block, 0), {}};
    for (std::int32_t c = pick(0, 2); c < columns; c += pick(1, 2))
        made.windows.set(static_cast<std::size_t>(c), CellWindow(3.02, 4.98, 1),
                         pick(0, 3) == 0 ? RowWindows::Missing::not_held : RowWindows::Missing::held);
    for (std::size_t s = 0; s < sums; ++s) {
        std::vector<std::uint32_t> needed, more;
        for (std::int32_t c = pick(0, 3); c < columns && needed.size() + more.size() < 12; c += pick(1, 3))
            (pick(0, 2) == 0 ? more : needed).push_back(static_cast<std::uint32_t>(c));
        const auto n = static_cast<double>(needed.size() + more.size());
        made.sums.emplace_back(block, 0, needed, more, 3.8 * n, 4.2 * n);
    }
    return made;
}

} // namespace

TEST_CASE("the same rows are plain with wider registers and without, for tables and sums of any size") {
    std::size_t plain = 0, others = 0, off = 0;
    for (std::size_t columns = 1; columns <= 33; ++columns)
        for (std::size_t sums = 0; sums <= 5; ++sums) {
            const Block block = some_block(columns, 300);
            Made made = some_windows(block, sums);
            const PlainRows rows(std::move(made.windows), std::move(made.sums));
            OtherRows wide, plainly;
            rows.find_others(block, 3, 298, wide);
            rows.find_others_plainly(block, 3, 298, plainly);
            CHECK(wide.rows == plainly.rows);
            CHECK(wide.sums == plainly.sums);
            plain += 295 - wide.sums.size();
            others += wide.rows.size();
            off += wide.sums.size() - wide.rows.size();
        }
    CHECK(plain > 5000);
    CHECK(others > 5000);
    CHECK(off > 5000);
}

TEST_CASE("a row is plain when its windows hold it, for sums when all of them hold it too") {
    const Block block = some_block(22, 2000);
    const Made made = some_windows(block, 2);
    OtherRows others;
    PlainRows(made.windows, made.sums).find_others(block, 0, block.rows, others);
    std::vector<std::uint32_t> beyond_windows, beyond_sums;
    for (std::uint32_t row = 0; row < block.rows; ++row) {
        const bool held = made.windows.hold(block, row);
        if (!held)
            beyond_windows.push_back(row);
        if (!held || !made.sums[0].holds(block, row) || !made.sums[1].holds(block, row))
            beyond_sums.push_back(row);
    }
    // Cells of a sum are also looked at for unusual ones, so a row more may not be known to be plain.
    const auto all_in = [](const std::vector<std::uint32_t>& some, const std::vector<std::uint32_t>& all) {
        return std::includes(all.begin(), all.end(), some.begin(), some.end());
    };
    CHECK(all_in(beyond_windows, others.rows));
    CHECK(all_in(beyond_sums, others.sums));
    CHECK(others.rows.size() < beyond_windows.size() + 200);
    CHECK(others.sums.size() < beyond_sums.size() + 200);
    CHECK(others.sums.size() < 1800);
}

TEST_CASE("no sum is so large that 32 bits make it small") {
    for (const std::size_t columns : {9U, 16U}) {
        thresh::TableColumns table;
        table.numbers.resize(columns);
        Block block;
        block.table = std::make_shared<const thresh::TableColumns>(std::move(table));
        block.rows = 100;
        std::vector<std::uint32_t> needed;
        for (std::uint32_t c = 0; c < columns; ++c)
            needed.push_back(c);
        // In units of the first column's last place: 2^32, which 32 bits hold as 0.
        constexpr std::int64_t kAll = std::int64_t{1} << 32;
        const auto each = static_cast<std::int32_t>(kAll / 100 / static_cast<std::int64_t>(columns - 1));
        const auto rest = static_cast<std::int32_t>(kAll - std::int64_t{100} * each *
                                                               static_cast<std::int64_t>(columns - 1));
        for (std::size_t row = 0; row < block.rows; ++row)
            for (std::size_t c = 0; c < columns; ++c)
                block.cells.push_back(c == 0 ? Cell::decimal(rest, 6) : Cell::decimal(each, 4));
        std::vector<SumWindow> sums;
        sums.emplace_back(block, 0, needed, std::vector<std::uint32_t>{}, -0.001, 0.001);
        OtherRows others;
        PlainRows(RowWindows(block, 0), std::move(sums)).find_others(block, 0, block.rows, others);
        CHECK(others.sums.size() == block.rows);
    }
}

#include "unit/support/readings_builder.hpp"

#include <catch2/catch.hpp>

#include <cstring>
#include <thresh/basis/columns_of.hpp>
#include <thresh/basis/values.hpp>

using namespace thresh;
using namespace thresh::basis;

TEST_CASE("a few columns of many rows become the same numbers, bit by bit, as a plan makes of each") {
    // A moisture that is missing, out of its domain, below a limit or too long for a cell; values that are.
    const Readings readings = test::make_readings(
        {{.values = {{"moisture", "6.37"}, {"protein", "40.1"}, {"oil", "19.3"}, {"oleic", "21.9"}}},
         {.values = {{"moisture", ""}, {"protein", "40"}, {"oil", "19"}, {"oleic", "22"}}},
         {.values = {{"moisture", "100"}, {"protein", "40"}, {"oil", "<0.05"}, {"oleic", "x"}}},
         {.values = {{"moisture", "<0.5"}, {"protein", "40"}, {"oil", ""}, {"oleic", "21.123456789"}}},
         {.values =
              {{"moisture", "6.3712345678"}, {"protein", "33.333333333"}, {"oil", "19"}, {"oleic", "1"}}},
         {.values = {{"moisture", "0"}, {"protein", "40"}, {"oil", "1e-3"}, {"oleic", "0"}}}});
    const Block& block = readings.blocks.at(0);
    auto table = std::make_shared<TableColumns>(*block.table);
    for (const Basis stated : {Basis{}, Basis::at(13), Basis::dry()}) {
        table->numbers[*table->find(constituent::oil)].basis = stated;
        Block about = block;
        about.table = table;
        const ConstituentId ids[] = {constituent::oil, constituent::ash, constituent::moisture,
                                     constituent::protein, table->numbers.back().constituent};
        constexpr std::size_t width = 7; // two more than are asked for
        for (const Basis wanted : {Basis::dry(), Basis::at(13)}) {
            const Plan plan(*table, wanted);
            const std::size_t first = 1;
            std::vector<double> values((about.rows - first) * width);
            ColumnsOf(*table, wanted, ids).convert(about, first, about.rows - first, width, values.data());
            for (std::size_t row = first; row < about.rows; ++row)
                for (std::size_t k = 0; k < width; ++k) {
                    const double value = values[(row - first) * width + k];
                    const auto column = k < std::size(ids) ? table->find(ids[k]) : std::nullopt;
                    const auto known = column ? plan.value(about, row, *column) : std::nullopt;
                    CHECK(std::isnan(value) == !known.has_value());
                    if (known)
                        CHECK(std::memcmp(&value, &*known, sizeof value) == 0);
                }
        }
    }
}

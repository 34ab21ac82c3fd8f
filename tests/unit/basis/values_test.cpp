#include "unit/support/readings_builder.hpp"

#include "basis/multiply.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>
#include <random>
#include <thresh/basis/values.hpp>

using namespace thresh;
using namespace thresh::basis;
using thresh::test::make_readings;
using thresh::test::Row;

namespace {

Block block_of(std::vector<Row> rows) {
    return make_readings(std::move(rows)).blocks.at(0);
}

std::vector<double> converted(const Block& block, Basis wanted, std::size_t row = 0) {
    const Plan plan(*block.table, wanted);
    std::vector<double> values(plan.room());
    plan.convert_row(block, row, values);
    values.resize(block.table->numbers.size());
    return values;
}

} // namespace

TEST_CASE("shares of the sample convert with the moisture of their own row") {
    const Block block = block_of({{.values = {{"moisture", "20"}, {"protein", "40"}}},
                                  {.values = {{"moisture", "50"}, {"protein", "40"}}}});
    CHECK(converted(block, Basis::dry(), 0)[1] == 50);
    CHECK(converted(block, Basis::dry(), 1)[1] == 80);
}

TEST_CASE("moisture, parts of oil and protein, ratios and distances never convert") {
    const Block block = block_of({{.values = {{"moisture", "6.5"},
                                              {"oleic", "21.9"},
                                              {"lysine/protein", "6.8"},
                                              {"calibration_distance", "1.25"},
                                              {"peak", "1143.61"}}}});
    CHECK(converted(block, Basis::at(13)) == std::vector<double>{6.5, 21.9, 6.8, 1.25, 1143.61});
}

TEST_CASE("a fatty acid stated as part of the sample converts") {
    const Block block = block_of({{.values = {{"moisture", "20"}, {"oleic/sample", "4"}}}});
    CHECK(converted(block, Basis::dry())[1] == 5);
}

TEST_CASE("from one fixed basis to another no moisture is needed") {
    const Block block = block_of({{.values = {{"protein@dry", "40"}, {"oil@13", "17.4"}}}});
    const auto values = converted(block, Basis::at(13));
    CHECK(values[0] == Approx(34.8).epsilon(1e-15));
    CHECK(values[1] == 17.4);
    CHECK_FALSE(Plan(*block.table, Basis::at(13)).needs_moisture(0));
}

TEST_CASE("columns of several stated moistures, wanted as-is, each take their own factor") {
    const Block block = block_of(
        {{.values = {{"moisture", "20"}, {"protein@dry", "40"}, {"oil@13", "17.4"}, {"fiber", "5"}}},
         {.values = {
              {"moisture", "<20"}, {"protein@dry", "1e-12"}, {"oil@13", "17.4"}, {"fiber", "1e-12"}}}});
    CHECK(converted(block, Basis::as_is()) ==
          std::vector<double>{20, 40 * (80.0 / 100), 17.4 * (80.0 / 87), 5});
    const auto without = converted(block, Basis::as_is(), 1);
    CHECK(std::isnan(without[1]));
    CHECK(std::isnan(without[2]));
    CHECK(without[3] == 1e-12);
}

TEST_CASE("a fixed basis wanted as-is takes the reading's moisture") {
    const Block block = block_of({{.values = {{"moisture", "6.5"}, {"protein@13", "34.7"}, {"oil", "20"}}}});
    const auto values = converted(block, Basis::as_is());
    CHECK(values[1] == Approx(37.292529).epsilon(1e-8));
    CHECK(values[2] == 20);
    const Plan plan(*block.table, Basis::as_is());
    CHECK(plan.needs_moisture(1));
    CHECK_FALSE(plan.needs_moisture(2));
}

TEST_CASE("without a usable moisture a value that needs it is absent, the others stay") {
    for (const char* moisture : {"", "x", "?6,5", "<2", "100", "-1"}) {
        const Block block = block_of(
            {{.values = {{"moisture", moisture}, {"protein", "40"}, {"oil@dry", "20"}, {"oleic", "22"}}}});
        const auto values = converted(block, Basis::dry());
        CHECK(std::isnan(values[1]));
        CHECK(values[2] == 20);
        CHECK(values[3] == 22);
    }
    const Block block = block_of({{.values = {{"protein", "40"}}}});
    CHECK(std::isnan(converted(block, Basis::dry())[0]));
    CHECK(converted(block, Basis::as_is())[0] == 40);
}

TEST_CASE("a stated basis of moisture itself is ignored") {
    const Block block = block_of({{.values = {{"moisture@dry", "20"}, {"protein", "40"}}}});
    CHECK(converted(block, Basis::dry()) == std::vector<double>{20, 50});
}

TEST_CASE("missing, unreadable, doubtful and below-limit cells have no number, wide ones do") {
    const Block block = block_of({{.values = {{"protein", ""},
                                              {"oil", "error"},
                                              {"ash", "?4,9"},
                                              {"starch", "<0.05"},
                                              {"sucrose", "1.234567890123"}}}});
    for (std::size_t column = 0; column < 4; ++column) {
        CHECK_FALSE(raw_value(block, 0, column));
        CHECK(std::isnan(converted(block, Basis::as_is())[column]));
    }
    CHECK(raw_value(block, 0, 4) == 1.234567890123);
}

TEST_CASE("a value below its limit counts for the wanted share of the limit") {
    const Block block = block_of({{.values = {{"moisture", "20"}, {"starch", "<0.05"}}}});
    std::vector<double> values(room_for(2));
    Plan(*block.table, Basis::dry(), 0.5).convert_row(block, 0, values);
    CHECK(values[1] == Approx(0.03125).epsilon(1e-15));
    CHECK(Plan(*block.table, Basis::dry(), 0.0).value(block, 0, 1) == 0.0);
}

TEST_CASE("a single value and a whole row are the same bits") {
    const Block block =
        block_of({{.values = {{"moisture", "6.37"}, {"protein", "38.913"}, {"oil@13", "18.07"}}}});
    for (const Basis wanted : {Basis::as_is(), Basis::dry(), Basis::at(13), Basis::at(8.5)}) {
        const Plan plan(*block.table, wanted);
        const auto values = converted(block, wanted);
        for (std::size_t column = 0; column < values.size(); ++column)
            CHECK(plan.value(block, 0, column) == values[column]);
    }
}

TEST_CASE("the moisture of a reading is the number of its own column") {
    const Block block = block_of({{.values = {{"protein", "40"}, {"moisture", "6.37"}}},
                                  {.values = {{"protein", "40"}, {"moisture", ""}}}});
    CHECK(moisture_of(block, 0) == 6.37);
    CHECK_FALSE(moisture_of(block, 1));
}

TEST_CASE("many cells at once become the same numbers, bit by bit, as one by one") {
    std::mt19937 twister(7); // the same numbers on every machine
    const auto random = [&] { return static_cast<std::uint32_t>(twister()); };
    const double factors[] = {1, 0.87 / 0.93, kFactorOfRow, kFactorOfRow};
    for (std::size_t count = 0; count <= 41; ++count)
        for (int beside : {0, 1, 2}) {
            std::vector<Cell> cells;
            std::vector<double> own;
            const double of_row = count % 7 == 3 ? std::nan("") : 1 / 0.93;
            for (std::size_t i = 0; i < count; ++i) {
                const auto digits =
                    static_cast<std::int32_t>(random() % (2U * Cell::kMaxDigits)) - Cell::kMaxDigits;
                cells.push_back(random() % 5 == 0 ? Cell{}
                                : random() % 9 == 0
                                    ? Cell::unreadable(random() % 100)
                                    : Cell::decimal(digits, random() % (Cell::kMaxDecimals + 1)));
                own.push_back(factors[random() % 4]);
            }
            if (count > 0 && beside > 0)
                cells[random() % count] = beside == 1 ? Cell::wide(3) : Cell::below_limit(0);
            own.resize(room_for(count), 1);
            std::vector<double> wide(room_for(count)), plain(room_for(count));
            const bool found = basis::multiply(cells.data(), own.data(), of_row, count, wide.data());
            CHECK(found == basis::multiply_plainly(cells.data(), own.data(), of_row, count, plain.data()));
            CHECK(found == (count > 0 && beside > 0));
            for (std::size_t i = 0; i < count; ++i) {
                CHECK(std::isnan(wide[i]) == std::isnan(plain[i]));
                if (!std::isnan(wide[i]))
                    CHECK(std::memcmp(&wide[i], &plain[i], sizeof(double)) == 0);
            }
        }
}

TEST_CASE("some columns of a row convert as the whole row does") {
    const Block block = block_of({{.values = {{"moisture", "20"}, {"protein", "40"}, {"oil", "19"}}}});
    double values[3];
    const std::uint32_t columns[] = {2, Plan::kNoColumn, 1};
    Plan(*block.table, Basis::dry()).convert_some(block, 0, columns, values);
    CHECK(values[0] == converted(block, Basis::dry())[2]);
    CHECK(std::isnan(values[1]));
    CHECK(values[2] == 50);
}

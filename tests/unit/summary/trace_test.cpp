#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/trace.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;
using test::rows_of;

namespace {

std::unique_ptr<test::SeasonHolder> season() {
    std::vector<test::Row> rows;
    const auto add = [&](std::string sample, std::string moisture, std::string protein) {
        test::Row row;
        row.sample = std::move(sample);
        row.material = "soy";
        row.values = {{"moisture", std::move(moisture)}, {"protein", std::move(protein)}, {"oil", "20.5"}};
        rows.push_back(row);
    };
    add("A", "6.2", "36.49");
    add("A", "6.3", "36.61");
    add("A", "9.1", "35.20");
    add("B", "6.0", "37.02");
    return make_season(rows, {entry("A", "L-1", "1"), entry("B", "L-1", "2"), entry("C", "L-1", "3", "soy")});
}

} // namespace

TEST_CASE("a trace holds every reading, its cell and factor, and ends at the mean of lines") {
    const auto holder = season();
    holder->find("moisture-high", Severity::exclude, 2);
    const auto means = sample_means(holder->season());
    const auto traces = trace(*means, "L-1", "protein");
    REQUIRE(traces);
    REQUIRE(traces->size() == 1);
    const Trace& made = traces->front();
    REQUIRE(made.plots.size() == 3);
    const auto& readings = made.plots[0].samples.at(0).readings;
    REQUIRE(readings.size() == 3);
    CHECK(readings[0].cell == "a.csv:2:4");
    CHECK(readings[2].used == false);
    CHECK(readings[2].why_not == "the reading is excluded");
    CHECK(readings[2].findings == "moisture-high");
    double sum = 0;
    for (const TracedReading& reading : readings) {
        CHECK(*reading.value == *reading.as_read * *reading.factor);
        sum += reading.used ? *reading.value : 0;
    }
    CHECK(made.plots[0].mean == sum / 2);
    CHECK(made.mean == (made.plots[0].mean + made.plots[1].mean) / 2);
    const auto lines = lines_table(holder->season(), *means, {});
    CHECK(made.mean == rows_of(*lines).numbers.at({0, "protein"}));
    CHECK(made.sd == rows_of(*lines).numbers.at({0, "protein_sd"}));

    const std::string text = trace_text(*traces);
    CHECK(text.find("36.49 % as-is at moisture 6.2 x ") != std::string::npos);
    CHECK(text.find("not used: the reading is excluded  [moisture-high]") != std::string::npos);
    CHECK(text.find(fmt::format(") / 2 = {}\n", made.mean)) != std::string::npos);
    CHECK(text.find("not read") != std::string::npos);
    CHECK(rows_of(*trace_table(*traces)).rows.size() == 4);
}

TEST_CASE("a derived constituent is traced by its values and formula") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    const auto traces = trace(*means, "L-1", "protein_plus_oil");
    REQUIRE(traces);
    CHECK_FALSE(traces->front().formula.empty());
    CHECK(traces->front().plots[0].samples[0].readings[0].value.has_value());
}

TEST_CASE("an unknown line or constituent names the nearest") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    CHECK(trace(*means, "L-11", "protein").error().help.find("L-1") != std::string::npos);
    CHECK(trace(*means, "L-1", "protien").error().help.find("protein") != std::string::npos);
    CHECK(trace(*means, "L-1", "oleic").error().message.find("no constituent `oleic`") != std::string::npos);
}

TEST_CASE("cells of workbooks are named by their letters") {
    auto row = test::Row{};
    row.source = "week.xlsx";
    row.sheet = "Sheet1";
    row.sample = "A";
    row.material = "soy";
    row.values = {{"moisture", "6"}, {"protein", "36"}};
    const auto holder = make_season({row});
    const auto traces = trace(*sample_means(holder->season()), "A", "protein");
    CHECK(traces->front().plots[0].samples[0].readings[0].cell == "week.xlsx[Sheet1]!D2");
}

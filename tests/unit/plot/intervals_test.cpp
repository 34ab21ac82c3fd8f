#include "unit/plot/odd_names.hpp"
#include "unit/plot/svg_reader.hpp"

#include <cmath>
#include <thresh/plot/intervals.hpp>

using namespace thresh::plot;

namespace {

Intervals biases() {
    Intervals data{{"bias", "%", 2}, "95 % confidence interval", "constituent", {}, 0, "no bias"};
    data.rows = {{"protein", 0.3, 0.1, 0.5, ""},
                 {"oil", -0.4, -0.7, -0.1, "old calibration"},
                 {"moisture", 0.05, -0.2, 0.3, ""},
                 {"ash", 1.5, {}, {}, ""}};
    return data;
}

} // namespace

TEST_CASE("an interval beside the line is marked low or high, by shape and by class, and the table says it") {
    const auto figure = intervals({"iv", "Bias", "", 460}, biases());
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "iv");
    CHECK(document.of_class("high").size() == 2); // the row's group and the legend
    CHECK(document.of_class("low").size() == 2);
    CHECK(document.has_text("title", "protein: 0.30 %, 95 % confidence interval 0.10 to 0.50"));
    CHECK(figure->table.rows ==
          std::vector<std::vector<std::string>>{
              {"protein", "0.30", "0.10", "0.50", "interval above it", ""},
              {"oil", "-0.40", "-0.70", "-0.10", "interval below it", "old calibration"},
              {"moisture", "0.05", "-0.20", "0.30", "interval holds it", ""},
              {"ash", "1.50", "", "", "no interval", ""}});
}

TEST_CASE("an interval that ends on the line holds it") {
    Intervals data = biases();
    data.rows = {{"protein", 0.3, 0.0, 0.6, ""}, {"oil", -0.3, -0.6, 0.0, ""}};
    const auto figure = intervals({"iv", "Bias", "", 460}, data);
    REQUIRE(figure);
    CHECK(figure->table.rows[0][4] == "interval holds it");
    CHECK(figure->table.rows[1][4] == "interval holds it");
}

TEST_CASE("half an interval, or one that is not finite, is none") {
    Intervals data = biases();
    data.rows = {
        {"a", 1, 0.5, {}, ""}, {"b", 1, 0.5, INFINITY, ""}, {"c", 1, 2, 0.5, ""}, {"d", NAN, {}, {}, ""}};
    const auto figure = intervals({"iv", "Bias", "", 460}, data);
    REQUIRE(figure);
    svg::sound(figure->svg, "iv");
    for (const auto& row : figure->table.rows)
        CHECK(row[4] == "no interval");
    CHECK(figure->note == "1 row has no value that can be drawn.");
}

TEST_CASE("more intervals than have room are counted, and odd names stay sound") {
    Intervals data = biases();
    for (std::size_t i = 0; i < 100; ++i)
        data.rows.push_back({odd_names()[i % odd_names().size()], 0.1, -0.1, 0.3, ""});
    const auto figure = intervals({"iv", "Bias", "", 330}, data);
    REQUIRE(figure);
    svg::sound(figure->svg, "iv");
    CHECK(figure->table.rows.size() == kMostIntervalRows);
    CHECK(figure->note == "44 of 104 rows are not drawn.");
    data.rows.clear();
    CHECK_FALSE(intervals({"iv", "Bias", "", 460}, data));
}

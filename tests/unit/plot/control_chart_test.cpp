#include "unit/plot/odd_names.hpp"
#include "unit/plot/svg_reader.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/plot/control_chart.hpp>
#include <thresh/plot/spark.hpp>

using namespace thresh::plot;

namespace {

ChartPanel panel(const std::string& name, std::size_t count) {
    ChartPanel made{name, 36.0, 35.6, 36.4, 35.4, 36.6, {}};
    for (std::size_t i = 0; i < count; ++i)
        made.points.push_back({36 + 0.01 * static_cast<double>(i * 7 % 31) - 0.15,
                               "2025-10-" + std::to_string(10 + i % 20) + " 08:00", "", false, false});
    return made;
}

ControlChart chart(std::size_t count) {
    return {{"protein", "%", 2}, "time", {panel("instrument A", count)}};
}

std::size_t pieces(const std::string& path) {
    return static_cast<std::size_t>(std::count(path.begin(), path.end(), 'M'));
}

} // namespace

TEST_CASE(
    "a control chart draws every point, marks signals by side and weight, and tells them in its table") {
    ControlChart data = chart(30);
    data.panels[0].points[5] = {36.9, "2025-10-15 08:00", "beyond 3 standard deviations", true, false};
    data.panels[0].points[9] = {35.1, "2025-10-19 08:00", "beyond 3 standard deviations", true, false};
    data.panels[0].points[20].signals = "8 in a row on one side";
    const auto figure = control_chart({"cc", "Control", "", 460}, data);
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "cc");
    CHECK(document.of_class("high").size() == 2); // the point and the legend
    CHECK(document.of_class("low").size() == 2);
    CHECK(document.of_class("ring").size() == 2);
    CHECK(document.of_class("circle").size() == 27);
    CHECK(document.has_text("title", "2025-10-15 08:00: 36.90 %, beyond 3 standard deviations"));
    CHECK(document.has_text("text", "instrument A"));
    bool told = false;
    for (const auto& text : document.texts("desc"))
        told |= text.find("centre 36.00, warning limits 35.60 and 36.40, action limits 35.40 and 36.60; "
                          "2 action signals.") != std::string::npos;
    CHECK(told);
    REQUIRE(figure->table.rows.size() == 30);
    CHECK(figure->table.rows[5] == std::vector<std::string>{"instrument A", "2025-10-15 08:00", "36.90",
                                                            "action: beyond 3 standard deviations"});
    CHECK(figure->table.rows[20][3] == "8 in a row on one side");
}

TEST_CASE("the key names only the signals that are there") {
    ControlChart data = chart(30);
    data.panels[0].points[5] = {36.9, "", "beyond 3 standard deviations", true, false};
    const auto document = svg::read(control_chart({"cc", "t", "", 460}, data)->svg);
    CHECK(document.has_text("text", "action signal, high"));
    CHECK_FALSE(document.has_text("text", "action signal, low"));
    CHECK_FALSE(document.has_text("text", "note"));
}

TEST_CASE("the trace breaks at gaps and at values that cannot be drawn, which are counted") {
    ControlChart data = chart(30);
    CHECK(pieces(svg::read(control_chart({"cc", "t", "", 460}, data)->svg).of_class("trace")[0].at("d")) ==
          1);
    data.panels[0].points[10].gap_before = true;
    data.panels[0].points[20].value = NAN;
    const auto figure = control_chart({"cc", "t", "", 460}, data);
    REQUIRE(figure);
    CHECK(pieces(svg::sound(figure->svg, "cc").of_class("trace")[0].at("d")) == 3);
    CHECK(figure->table.rows.size() == 29);
    CHECK(figure->note == "1 point without a value that can be drawn.");
}

TEST_CASE("limits lie where their values are, on the scale of the points") {
    ControlChart data = chart(2);
    data.panels[0].points[0].value = 36.4;
    data.panels[0].points[1].value = 35.6;
    const auto document = svg::read(control_chart({"cc", "t", "", 460}, data)->svg);
    std::vector<std::string> y;
    for (const auto& circle : document.of_class("circle"))
        y.push_back(circle.at("cy"));
    REQUIRE(y.size() == 2);
    std::size_t met = 0;
    for (const auto& line : document.of_class("rule"))
        met += line.at("y1") == y[0] || line.at("y1") == y[1];
    CHECK(met == 2);
}

TEST_CASE("more than 3000 points become envelopes that hold every value, with action signals still marked") {
    ControlChart data = chart(4000);
    data.panels.push_back(panel("instrument B", 10));
    data.panels[0].points[1234] = {37.5, "2025-11-01 08:00", "beyond 3 standard deviations", true, false};
    const auto figure = control_chart({"cc", "t", "", 460}, data);
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "cc");
    CHECK(document.of_class("high").size() == 2);
    CHECK(figure->note == "4010 points are drawn as lowest, mean and highest of runs.");
    std::size_t points = 0;
    double highest = 0;
    for (const auto& row : figure->table.rows) {
        REQUIRE(row.size() == figure->table.columns.size());
        points += std::stoul(row[2]);
        highest = std::max(highest, std::stod(row[5]));
        CHECK(std::stod(row[3]) <= std::stod(row[4]));
        CHECK(std::stod(row[4]) <= std::stod(row[5]));
    }
    CHECK(points == 4010);
    CHECK(highest == 37.5);
    CHECK(figure->svg.size() < 100'000);
}

TEST_CASE("panels of odd names, one point, no limits, and more than have room stay sound") {
    for (const double width : {320.0, 460.0, 1000.0}) {
        ControlChart data{{odd_names()[1], odd_names()[2], 2}, "time", {}};
        for (std::size_t i = 0; i < 15; ++i) {
            ChartPanel strip = panel(odd_names()[i % odd_names().size()], i);
            for (auto& point : strip.points)
                point.label = odd_names()[(i + 1) % odd_names().size()];
            if (i % 2 == 0)
                strip.centre = strip.action_low = strip.action_high = {};
            data.panels.push_back(strip);
        }
        const auto figure = control_chart({"cc", "t", "", width}, data);
        REQUIRE(figure);
        svg::sound(figure->svg, "cc");
        CHECK(figure->note == "2 series are not drawn.");
    }
    CHECK_FALSE(control_chart({"cc", "t", "", 460}, chart(0)));
    CHECK_FALSE(control_chart({"cc", "t", "", 460}, {{"protein", "%", 2}, "time", {}}));
}

TEST_CASE("a spark keeps gaps and excursions, marks what is outside by shape, and is nothing for one value") {
    std::vector<double> values(5000, 1.0);
    values[777] = 9;
    values[3333] = -9;
    const auto document = svg::read(spark({values, 0.0, 2.0}));
    CHECK(document.of_class("high").size() == 1);
    CHECK(document.of_class("low").size() == 1);
    CHECK(document.of_class("band").size() == 1);
    CHECK(document.elements[0].at("aria-hidden") == "true");
    const std::vector<double> gap = {1, 2, NAN, 3, 2};
    CHECK(pieces(svg::read(spark({gap, {}, {}})).of_class("trace")[0].at("d")) == 2);
    const std::vector<double> constant = {4, 4, 4};
    CHECK(svg::read(spark({constant, {}, {}})).of_class("trace").size() == 1);
    const std::vector<double> one = {4, NAN};
    CHECK(spark({one, {}, {}}) == "");
    CHECK(spark({{}, {}, {}}) == "");
}

#include "unit/plot/odd_names.hpp"
#include "unit/plot/svg_reader.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/plot/agreement.hpp>
#include <thresh/plot/scatter.hpp>

using namespace thresh::plot;

namespace {

const Quantity protein{"protein", "%", 2}, oil{"oil", "%", 2};

Scatter cloud(std::size_t count) {
    Scatter data{
        protein, oil, "line", {{"lines", Mark::circle, false, {}}, {"checks", Mark::check, true, {}}}};
    for (std::size_t i = 0; i < count; ++i)
        data.groups[0].points.push_back({34 + 0.001 * static_cast<double>(i * 37 % 4001),
                                         18 + 0.001 * static_cast<double>(i * 53 % 2003),
                                         "L" + std::to_string(i)});
    data.groups[1].points = {{36.25, 18.5, "Check A"}, {37.5, 19.125, "Check B"}};
    return data;
}

std::size_t sum_of_counts(const DataTable& table) {
    std::size_t sum = 0;
    for (const auto& row : table.rows)
        if (row[0].empty())
            sum += std::stoul(row[1]);
    return sum;
}

} // namespace

TEST_CASE("each point of a scatter has its place, its tooltip and its row in the table") {
    const auto figure = scatter({"sc", "Oil against protein", "", 460}, cloud(20));
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "sc");
    CHECK(document.has_text("title", "Check A; protein: 36.25 %, oil: 18.50 %"));
    CHECK(document.has_text("text", "Check A"));
    CHECK(document.has_text("text", "Check B"));
    CHECK(document.count("circle") == 21); // one in the legend
    CHECK(figure->table.columns == std::vector<std::string>{"group", "line", "protein, %", "oil, %"});
    REQUIRE(figure->table.rows.size() == 22);
    CHECK(figure->table.rows[0] == std::vector<std::string>{"lines", "L0", "34.00", "18.00"});
    CHECK(figure->table.rows[20] == std::vector<std::string>{"checks", "Check A", "36.25", "18.50"});
    CHECK(figure->note == "");
}

TEST_CASE("points lie in proportion to their values, y upwards") {
    Scatter data{protein,
                 oil,
                 "line",
                 {{"lines", Mark::circle, false, {{30, 10, "a"}, {32, 14, "b"}, {40, 20, "c"}}}}};
    std::vector<double> x, y;
    for (const auto& element : svg::read(scatter({"sc", "t", "", 460}, data)->svg).elements)
        if (element.name == "circle" && element.parent == "g") {
            x.push_back(std::atof(element.at("cx").c_str()));
            y.push_back(std::atof(element.at("cy").c_str()));
        }
    REQUIRE(x.size() == 3);
    CHECK((x[1] - x[0]) / (x[2] - x[0]) == Approx(0.2).margin(0.001));
    CHECK((y[0] - y[1]) / (y[0] - y[2]) == Approx(0.4).margin(0.001));
}

TEST_CASE("up to 3000 points are drawn each, more as squares that hold every point, the checks still apart") {
    CHECK(svg::read(scatter({"sc", "t", "", 460}, cloud(2998))->svg).count("circle") == 2999);
    const auto figure = scatter({"sc", "t", "", 460}, cloud(2999));
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "sc");
    CHECK(document.count("circle") == 0);
    CHECK(document.has_text("text", "Check A"));
    CHECK(sum_of_counts(figure->table) == 2999);
    CHECK(figure->note == "3001 points are counted in squares.");
    bool told = false;
    for (const std::string& text : document.texts("desc"))
        told |= text.find("3001 points are counted in squares.") != std::string::npos;
    CHECK(told);
    CHECK(figure->svg.size() < 120'000);
}

TEST_CASE("points that cannot be drawn are counted, never drawn") {
    Scatter data = cloud(3);
    data.groups[0].points.push_back({NAN, 18, "x"});
    data.groups[0].points.push_back({35, INFINITY, "y"});
    const auto figure = scatter({"sc", "t", "", 460}, data);
    REQUIRE(figure);
    svg::sound(figure->svg, "sc");
    CHECK(figure->table.rows.size() == 5);
    CHECK(figure->note == "2 points without two values that can be drawn.");
    CHECK_FALSE(
        scatter({"sc", "t", "", 460}, {protein, oil, "line", {{"a", Mark::circle, false, {{NAN, 1, ""}}}}}));
    CHECK_FALSE(scatter({"sc", "t", "", 460}, {protein, oil, "line", {}}));
}

TEST_CASE("a group without a point has no place in the key") {
    Scatter data = cloud(5);
    data.groups.push_back({"provisional", Mark::ring, false, {{NAN, 1, "x"}}});
    const auto document = svg::read(scatter({"sc", "t", "", 460}, data)->svg);
    CHECK(document.has_text("text", "lines"));
    CHECK_FALSE(document.has_text("text", "provisional"));
}

TEST_CASE("one point, a constant, odd names and crowded labels stay sound") {
    for (const double width : {320.0, 460.0, 900.0}) {
        Scatter data{{odd_names()[1], "", 2}, {odd_names()[3], "%", 2}, "line", {}};
        data.groups = {{odd_names()[1], Mark::plus, true, {}},
                       {odd_names()[2], Mark::cross, false, {{1, 1, ""}}}};
        CHECK(scatter({"a", odd_names()[1], odd_names()[2], width}, data));
        for (std::size_t i = 0; i < 60; ++i)
            data.groups[0].points.push_back({1e9, 1e9 + 1e-3 * static_cast<double>(i), odd_names()[i % 11]});
        const auto figure = scatter({"a", odd_names()[1], odd_names()[2], width}, data);
        REQUIRE(figure);
        svg::sound(figure->svg, "a");
        CHECK(figure->note.find("without room for a name") != std::string::npos);
    }
}

TEST_CASE("of crowded labels none touches another: those without room are left to the tooltips and counted") {
    Scatter data{protein, oil, "line", {{"checks", Mark::check, true, {}}}};
    for (int i = 0; i < 60; ++i)
        data.groups[0].points.push_back({i * 37 % 61 * 0.1, i * 23 % 59 * 0.1, "Check " + std::to_string(i)});
    const auto figure = scatter({"a", "t", "", 460}, data);
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "a");
    std::size_t placed = 0;
    for (int i = 0; i < 60; ++i)
        placed += document.has_text("text", "Check " + std::to_string(i));
    CHECK(placed > 15);
    CHECK(figure->note == std::to_string(60 - placed) + " points without room for a name.");
}

TEST_CASE("a label that would lie over another is left to the tooltip") {
    // The middle one's stands right of it; the last one's has room nowhere else.
    Scatter data{protein, oil, "line", {{"checks", Mark::check, true, {}}}};
    data.groups[0].points = {{0, 0, ""}, {0, 10, ""}, {6.8, 5, "Check 001"}, {10, 5, "Check 002"}};
    const auto figure = scatter({"a", "t", "", 460}, data);
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "a");
    CHECK(document.has_text("text", "Check 001"));
    CHECK_FALSE(document.has_text("text", "Check 002"));
    CHECK(document.has_text("title", "Check 002; protein: 10.00 %, oil: 5.00 %"));
    CHECK(figure->note == "1 point without room for a name.");
    CHECK_FALSE(document.has_text("text", ""));
}

TEST_CASE("a label goes where it covers the fewest points") {
    // Right of the check stand points, left of it none.
    Scatter data{protein, oil, "line", {{"lines", Mark::circle, false, {{0, 0, ""}, {10, 10, ""}}}}};
    for (int i = 0; i < 10; ++i)
        data.groups[0].points.push_back({5.3 + 0.1 * i, 5, ""});
    data.groups.push_back({"checks", Mark::check, true, {{5, 5, "Check A"}}});
    double label = 0, mark = 0;
    for (const auto& element : svg::sound(scatter({"a", "t", "", 460}, data)->svg, "a").elements) {
        if (element.name == "text" && element.text == "Check A")
            label = std::atof(element.at("x").c_str());
        if (element.name == "path" && element.parent == "g")
            mark = std::atof(element.at("d").c_str() + 1);
    }
    CHECK(label > 0);
    CHECK(label < mark);
}

TEST_CASE("every mark has a shape of its own") {
    std::set<std::string> shapes;
    for (const Mark mark :
         {Mark::circle, Mark::check, Mark::square, Mark::cross, Mark::plus, Mark::low, Mark::high}) {
        Scatter data{protein, oil, "line", {{"a", mark, false, {{36, 18, "x"}}}}};
        for (const auto& element : svg::read(scatter({"a", "t", "", 460}, data)->svg).elements)
            if (element.parent == "g")
                shapes.insert(element.name + element.at("d"));
    }
    CHECK(shapes.size() == 7);
}

TEST_CASE("reference against NIR has one scale on both axes, the line of equality and the fitted line") {
    AgreementPlot data{
        {"NIR protein", "%", 2}, {"reference protein", "%", 2}, "sample", {}, AgreementPlot::Line{2, 0.95}};
    for (int i = 0; i < 20; ++i)
        data.pairs.push_back({34 + 0.2 * i, 34.1 + 0.19 * i, "S" + std::to_string(i), i == 3});
    const auto figure = agreement_plot({"ag", "Agreement", "", 460}, data);
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "ag");
    CHECK(document.has_text("text", "fitted: 2.00 + 0.950 x"));
    CHECK(document.of_class("cross").size() == 2); // the outlying pair's group and the legend
    // The line of equality runs from corner to corner.
    bool diagonal = false;
    for (const auto& line : document.of_class("rule")) {
        const double dx = std::atof(line.at("x2").c_str()) - std::atof(line.at("x1").c_str());
        const double dy = std::atof(line.at("y1").c_str()) - std::atof(line.at("y2").c_str());
        diagonal |= dx > 100 && std::abs(dx - dy) < 0.05;
    }
    CHECK(diagonal);
    REQUIRE(figure->table.rows.size() == 20);
    CHECK(figure->table.rows[0] == std::vector<std::string>{"sample", "S0", "34.00", "34.10"});
}

TEST_CASE("the difference plot draws x - y against the mean, with bias, its interval and limits in sight") {
    DifferencePlot data{
        protein, "mean of NIR and reference", "NIR - reference", "sample", {}, 0.2, 0.1, 0.3, -3,
        3.4,     "bias \xC2\xB1 2 SEP"};
    for (int i = 0; i < 20; ++i)
        data.pairs.push_back({34.3 + 0.2 * i, 34.1 + 0.2 * i, "S" + std::to_string(i), false});
    const auto figure = difference_plot({"df", "Difference", "", 460}, data);
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "df");
    CHECK(figure->table.rows[0] == std::vector<std::string>{"sample", "S0", "34.20", "0.20"});
    CHECK(document.of_class("band").size() == 2);
    std::size_t limits = 0;
    for (const auto& line : document.of_class("rule"))
        limits += line.at("x1") != line.at("x2") && line.at("y1") == line.at("y2");
    CHECK(limits == 3); // two and the legend
    CHECK(document.has_text("text", "bias 0.20 %"));
    for (auto& pair : data.pairs)
        pair.y = NAN;
    CHECK_FALSE(difference_plot({"df", "Difference", "", 460}, data));
}

TEST_CASE("lines that are not finite or leave the axes at once are not drawn") {
    AgreementPlot data{{"x", "", 2}, {"y", "", 2}, "sample", {{1, 1, "a", false}, {2, 2, "b", false}}, {}};
    for (const auto& line : {AgreementPlot::Line{NAN, 1}, AgreementPlot::Line{1, INFINITY},
                             AgreementPlot::Line{1e11, 0}, AgreementPlot::Line{-5e8, 1e9}}) {
        data.line = line;
        const auto figure = agreement_plot({"ag", "t", "", 460}, data);
        REQUIRE(figure);
        svg::sound(figure->svg, "ag");
    }
}

#include "unit/plot/odd_names.hpp"
#include "unit/plot/svg_reader.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/plot/ranking.hpp>

using namespace thresh::plot;

namespace {

Ranking three_rows() {
    Ranking data{{"protein", "%", 2}, "standard error", "line", {}, {}, {}};
    data.rows = {{"LE-016", 37.284, 0.21, false, false, true, "read twice"},
                 {"Check A", 36.5, 0.1, true, false, false, ""},
                 {"LE-003", 35.0, {}, false, true, false, ""}};
    return data;
}

Ranking many_rows(std::size_t count) {
    Ranking data{{"protein", "%", 2}, "standard error", "line", {}, {}, {}};
    for (std::size_t i = 0; i < count; ++i)
        data.rows.push_back({"L" + std::to_string(i), 40 - 0.01 * static_cast<double>(i), 0.2, i + 5 == count,
                             false, false, ""});
    return data;
}

} // namespace

TEST_CASE("a ranking shows each row's name, value, kind and error, and its table says the same") {
    const auto figure = ranking({"rank", "Protein", "", 460}, three_rows());
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "rank");
    CHECK(document.has_text("title", "Protein"));
    CHECK(document.has_text("text", "LE-016"));
    CHECK(document.has_text("text", "37.28"));
    CHECK(document.has_text("text", "!"));
    CHECK(document.has_text("text", "protein, %"));
    CHECK(document.has_text("title", "LE-016: 37.28 %, standard error 0.21, open finding, read twice"));
    CHECK(document.has_text("title", "Check A: 36.50 %, standard error 0.10, check"));
    CHECK(document.has_text("title", "LE-003: 35.00 %, provisional"));
    CHECK(document.of_class("check").size() == 2); // the row and the legend
    CHECK(document.of_class("hollow").size() == 1);
    CHECK(figure->table.columns ==
          std::vector<std::string>{"line", "protein, %", "standard error", "kind", "remark"});
    CHECK(figure->table.rows ==
          std::vector<std::vector<std::string>>{{"LE-016", "37.28", "0.21", "open finding", "read twice"},
                                                {"Check A", "36.50", "0.10", "check", ""},
                                                {"LE-003", "35.00", "", "provisional", ""}});
    CHECK(figure->note == "");
}

TEST_CASE("marks stand in the order of the values, and a bar reaches from value - error to value + error") {
    const auto figure = ranking({"rank", "Protein", "", 460}, three_rows());
    REQUIRE(figure);
    std::vector<double> x;
    std::vector<std::string> bars;
    for (const auto& element : svg::read(figure->svg).elements) {
        if (element.name == "circle" && element.parent == "g")
            x.push_back(std::atof(element.at("cx").c_str()));
        if (element.name == "path" && element.at("fill") == "none")
            bars.push_back(element.at("d"));
    }
    REQUIRE(x.size() == 2); // the check is a diamond
    CHECK(x[0] > x[1]);
    REQUIRE(bars.size() == 2);
    const double from = std::atof(bars[0].c_str() + 1);
    const double to = std::atof(bars[0].c_str() + bars[0].rfind('M') + 1);
    CHECK(from < x[0]);
    CHECK(x[0] - from == Approx(to - x[0]).margin(0.011));
    const double px_per_percent = (x[0] - x[1]) / (37.284 - 35.0);
    CHECK((to - from) / px_per_percent == Approx(0.42).margin(0.001));
}

TEST_CASE("of many rows the first hundred are drawn with the later checks, and the note counts the rest") {
    const auto figure = ranking({"rank", "Protein", "", 460}, many_rows(250));
    REQUIRE(figure);
    svg::sound(figure->svg, "rank");
    CHECK(figure->table.rows.size() == 101);
    CHECK(figure->table.rows.back()[0] == "L245");
    CHECK(figure->note == "149 of 250 rows are not drawn.");
    CHECK(ranking({"rank", "Protein", "", 460}, many_rows(100))->note == "");
}

TEST_CASE("a ranking of odd names stays sound at every width") {
    Ranking data = three_rows();
    data.cutoff = 36;
    data.cutoff_name = odd_names()[2];
    data.rows.clear();
    for (const std::string& name : odd_names())
        data.rows.push_back({name, 36, 0.3, data.rows.size() == 1, false, true, name});
    for (const double width : {0.0, 320.0, 460.0, 1200.0, std::nan("")}) {
        const auto figure = ranking({"r", odd_names()[2], odd_names()[3], width}, data);
        REQUIRE(figure);
        const auto document = svg::sound(figure->svg, "r");
        CHECK(document.count("img") == 0);
        for (std::size_t i = 0; i < data.rows.size(); ++i)
            CHECK(figure->table.rows[i].size() == figure->table.columns.size());
    }
    // The whole of a cut name can be read.
    const auto document = svg::read(ranking({"r", "t", "", 460}, data)->svg);
    CHECK(document.has_text("title", odd_names()[1]));
}

TEST_CASE("rows without a finite value are left out and counted, and without any there is no figure") {
    Ranking data = three_rows();
    data.rows[1].value = std::nan("");
    data.rows[0].error = INFINITY;
    const auto figure = ranking({"rank", "Protein", "", 460}, data);
    REQUIRE(figure);
    svg::sound(figure->svg, "rank");
    CHECK(figure->table.rows.size() == 2);
    CHECK(figure->table.rows[0][2] == "");
    CHECK(figure->note == "1 row has no value that can be drawn.");
    for (auto& row : data.rows)
        row.value = -INFINITY;
    CHECK_FALSE(ranking({"rank", "Protein", "", 460}, data));
    data.rows.clear();
    CHECK_FALSE(ranking({"rank", "Protein", "", 460}, data));
}

TEST_CASE("the same rows give the same bytes") {
    CHECK(ranking({"rank", "Protein", "", 460}, many_rows(50))->svg ==
          ranking({"rank", "Protein", "", 460}, many_rows(50))->svg);
}

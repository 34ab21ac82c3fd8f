#include "unit/plot/odd_names.hpp"
#include "unit/plot/svg_reader.hpp"

#include <cmath>
#include <numeric>
#include <thresh/plot/histogram.hpp>

using namespace thresh::plot;

namespace {

const Quantity moisture{"moisture", "%", 1};

Histogram hundred() {
    std::vector<double> values;
    for (int i = 0; i < 100; ++i)
        values.push_back(4 + 0.08 * i); // 4.00 to 11.92
    Histogram data = histogram_of(values, moisture, 5, 11);
    data.counted = "readings";
    data.window_name = "moisture window";
    return data;
}

std::size_t total(const Histogram& data) {
    return std::accumulate(data.counts.begin(), data.counts.end(), std::size_t{0});
}

} // namespace

TEST_CASE("bins are round, hold every value once, and what lies outside the window is counted by value") {
    const Histogram data = hundred();
    CHECK(data.first == 4);
    CHECK(data.step == 1);
    CHECK(data.counts == std::vector<std::size_t>{13, 12, 13, 12, 13, 12, 13, 12});
    CHECK(data.below == 13);
    CHECK(data.above == 12);
    CHECK(total(data) == 100);
}

TEST_CASE("a value on the edge of two bins counts in the upper one, the highest of all in the last") {
    const Histogram data = histogram_of(std::vector<double>{1.0, 2.0, 3.0, 4.0, 6.0}, {"x", "", 0});
    CHECK(data.first == 1);
    CHECK(data.step == 1);
    CHECK(data.counts == std::vector<std::size_t>{1, 1, 1, 1, 1});
    // 0.1 + 0.2 is a hair above 0.3, 0.1 * 3 too, 0.7 - 0.4 a hair below: all the same bin.
    const Histogram near =
        histogram_of(std::vector<double>{0.1, 0.1 + 0.2, 0.7 - 0.4, 0.1 * 3, 0.6}, {"x", "", 1});
    CHECK(near.counts[2] == 3);
}

TEST_CASE("any values, constant and wild ones too, are counted once each or named as not drawable") {
    const std::vector<std::vector<double>> sets = {
        {8, 8, 8}, {0}, {-1e12, 1e12}, {NAN, 1, INFINITY, 2, 1e300}, {1e-9, 2e-9, 3e-9}, {1e11, 1e11 + 1}};
    for (const auto& values : sets) {
        const Histogram data = histogram_of(values, moisture);
        CHECK(total(data) + data.not_finite == values.size());
        CHECK(data.counts.size() <= 31);
        const auto figure = histogram({"h", "Moisture", "", 460}, data);
        REQUIRE(figure);
        svg::sound(figure->svg, "h");
    }
    CHECK_FALSE(histogram({"h", "Moisture", "", 460}, histogram_of({}, moisture)));
    CHECK_FALSE(histogram({"h", "Moisture", "", 460}, histogram_of(std::vector<double>{NAN}, moisture)));
}

TEST_CASE("bars outside the window are hatched and named, the window is named with its ends and counts") {
    const auto figure = histogram({"h", "Moisture", "How wet.", 460}, hundred());
    REQUIRE(figure);
    const auto document = svg::sound(figure->svg, "h");
    CHECK(document.has_text("title", "4.0 to 5.0: 13 readings, below the window"));
    CHECK(document.has_text("title", "5.0 to 6.0: 12 readings"));
    CHECK(document.has_text("title", "11.0 to 12.0: 12 readings, above the window"));
    CHECK(document.has_text("text", "moisture window 5.0 to 11.0"));
    CHECK(document.has_text("text", "13 below"));
    CHECK(document.has_text("text", "12 above"));
    CHECK(document.of_class("bar").size() == 6);
    CHECK(document.has_text("desc",
                            "How wet. 100 readings, between 4.0 and 12.0 %. moisture window 5.0 to 11.0: "
                            "13 below, 12 above."));
    CHECK(figure->table.columns == std::vector<std::string>{"moisture, %", "readings"});
    CHECK(figure->table.rows.size() == 8);
    CHECK(figure->table.rows[0] == std::vector<std::string>{"4.0 to 5.0", "13"});
}

TEST_CASE("a bin that straddles the end of the window is plain") {
    Histogram data = hundred();
    data.low = 4.5;
    data.high = 11.5;
    const auto document = svg::sound(histogram({"h", "Moisture", "", 460}, data)->svg, "h");
    CHECK(document.of_class("bar").size() == 8);
}

TEST_CASE("the highest bar is as high as its count on the axis") {
    const auto document = svg::read(histogram({"h", "Moisture", "", 460}, hundred())->svg);
    double zero = 0, ten = 0, bar = 0;
    for (const auto& element : document.elements) {
        if (element.name == "text" && element.text == "0")
            zero = std::atof(element.at("y").c_str());
        if (element.name == "text" && element.text == "10" && element.at("text-anchor") == "end")
            ten = std::atof(element.at("y").c_str());
        if (element.name == "rect" && element.parent == "g")
            bar = std::max(bar, std::atof(element.at("height").c_str()));
    }
    CHECK(bar / (zero - ten) == Approx(1.3).margin(0.001));
}

TEST_CASE("narrow bars stay solid: most of a bin's width is bar") {
    Histogram data{moisture, "readings", 0, 0.1, std::vector<std::size_t>(100, 1), {}, {}, {}, 0, 0, 0};
    const auto document = svg::read(histogram({"h", "t", "", 320}, data)->svg);
    const auto bars = document.of_class("bar");
    REQUIRE(bars.size() == 100);
    const double bin = std::atof(bars[1].at("x").c_str()) - std::atof(bars[0].at("x").c_str());
    CHECK(std::atof(bars[0].at("width").c_str()) >= 0.75 * bin);
    CHECK(thresh::plot::style_sheet().find(".plot .bar { fill: var(--plot-main); stroke: none; }") !=
          std::string::npos);
}

TEST_CASE("a histogram of too many bins joins neighbours, and one that makes no sense is none") {
    Histogram data{moisture, "readings", 0, 0.1, std::vector<std::size_t>(500, 1), {}, {}, {}, 0, 0, 0};
    const auto figure = histogram({"h", odd_names()[1], "", 320}, data);
    REQUIRE(figure);
    svg::sound(figure->svg, "h");
    CHECK(figure->table.rows.size() == 100);
    CHECK(figure->table.rows[0] == std::vector<std::string>{"0.0 to 0.5", "5"});
    for (const double step : {0.0, -1.0, double(NAN), 1e300}) {
        data.step = step;
        CHECK_FALSE(histogram({"h", "Moisture", "", 460}, data));
    }
}

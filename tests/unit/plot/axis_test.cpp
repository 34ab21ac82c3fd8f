#include "plot/axis.hpp"
#include "plot/text.hpp"
#include "unit/plot/svg_reader.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace thresh::plot;

namespace {

Range range_of(std::initializer_list<double> values) {
    Range range;
    for (const double value : values)
        range.add(value);
    return range;
}

std::vector<std::string> texts(const Ticks& ticks) {
    std::vector<std::string> all;
    for (long long i = ticks.first; i <= ticks.last; ++i)
        all.push_back(ticks.text(i));
    return all;
}

} // namespace

TEST_CASE("ticks are round, enclose the range and show the decimals that the step needs") {
    CHECK(texts(round_ticks(range_of({33.1, 37.9}), 6, 2)) ==
          std::vector<std::string>{"33", "34", "35", "36", "37", "38"});
    CHECK(texts(round_ticks(range_of({0.12, 0.31}), 6, 2)) ==
          std::vector<std::string>{"0.10", "0.15", "0.20", "0.25", "0.30", "0.35"});
    CHECK(texts(round_ticks(range_of({-0.2, 0.2}), 5, 2)) ==
          std::vector<std::string>{"-0.2", "-0.1", "0.0", "0.1", "0.2"});
    CHECK(texts(round_ticks(range_of({0, 3}), 6, 0, true)) == std::vector<std::string>{"0", "1", "2", "3"});
    CHECK(texts(round_ticks(range_of({0, 1}), 6, 0, true)) == std::vector<std::string>{"0", "1"});
}

TEST_CASE("ticks of any range are at most as many as asked, strictly rising, with a step of 1, 2 or 5") {
    for (const double low : {-1e12, -37.3, -1e-7, 0.0, 1e-9, 36.1, 999.99, 1e11})
        for (const double width : {0.0, 1e-12, 1e-6, 0.03, 0.1, 1.0, 7.77, 1e5, 9e11})
            for (const int most : {2, 3, 6, 8}) {
                INFO(low << " + " << width << ", most " << most);
                const Range range = range_of({low, low + width});
                const Ticks ticks = round_ticks(range, most, 2);
                REQUIRE(ticks.last - ticks.first + 1 <= most + (ticks.last - ticks.first == 1));
                CHECK(ticks.last > ticks.first);
                CHECK(ticks.high() > ticks.low());
                CHECK(ticks.low() <= range.low + ticks.step * 1e-5);
                CHECK(ticks.high() >= range.high - ticks.step * 1e-5);
                CHECK(ticks.text(ticks.first) != ticks.text(ticks.first + 1));
                const double power = std::pow(10.0, std::floor(std::log10(ticks.step) + 1e-9));
                const double digit = std::round(ticks.step / power);
                CHECK((digit == 1 || digit == 2 || digit == 5));
            }
}

TEST_CASE("a constant has an axis about it in its own last decimals") {
    const Ticks ticks = round_ticks(range_of({12.5}), 6, 1);
    CHECK(ticks.low() < 12.5);
    CHECK(ticks.high() > 12.5);
    CHECK(ticks.high() - ticks.low() <= 2.0);
}

TEST_CASE("a range takes no value that cannot be drawn") {
    Range range;
    for (const double value :
         {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
          -std::numeric_limits<double>::infinity(), 1e300})
        range.add(value);
    CHECK(range.empty);
    range.add(3);
    CHECK_FALSE(range.empty);
    CHECK(range.low == 3);
    CHECK(range.high == 3);
}

TEST_CASE("tick texts beside each other never touch, and numbers too wide for two lose one") {
    for (const double low : {0.0, -123456.0, 1143.61, 1e9})
        for (const double width : {120.0, 250.0, 700.0}) {
            const Ticks ticks = ticks_across(range_of({low, low + 0.37}), width, 3);
            INFO(low << " on " << width);
            Drawing drawing;
            draw_tick_texts(drawing, {ticks.low(), ticks.high(), 0, width}, ticks, 20, width);
            const auto boxes =
                svg::text_boxes(svg::read(drawing.finish({"a", "t", "", width}, width, 40, "")));
            REQUIRE_FALSE(boxes.empty());
            for (std::size_t i = 1; i < boxes.size(); ++i)
                CHECK(boxes[i - 1].right < boxes[i].left);
        }
}

#include "summary/text_chart.hpp"

#include <catch2/catch.hpp>

#include <vector>

using namespace thresh::summary;

TEST_CASE("a chart shows heights between the limits and triangles beyond them") {
    CHECK(run_chart(std::vector<double>{-3, -0.1, 0.1, 2.9, 3, 3.1, -3.1}, -3, 3) == "▁▄▅██▲▼");
    CHECK(run_chart({}, -1, 1).empty());
}

TEST_CASE("of many points the newest are shown, and that some are not") {
    std::vector<double> values(25, 0.0);
    values.back() = 5;
    const std::string chart = run_chart(values, -1, 1);
    CHECK(chart.starts_with("…"));
    CHECK(chart.ends_with("▲"));
    CHECK(chart.size() == 21 * std::string("▅").size());
}

TEST_CASE("an interval is drawn about 0 and clipped at the ends of the scale") {
    CHECK(interval_chart(0.1, 0.5, 0.9, 1.0) == "          |----o---- ");
    CHECK(interval_chart(-0.2, 0, 0.2, 1.0) == "        --o--        ");
    CHECK(interval_chart(-9, -9, -8, 1.0) == "o         |          ");
}

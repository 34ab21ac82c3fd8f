#include "unit/rules/judged.hpp"

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {
Judged read(const std::vector<std::string>& rows, const std::string& rules = "{}",
            std::vector<std::string> severity = {}) {
    return Judged({{{"a.csv", soybeans(rows)}}, rules, {}, {}, std::move(severity)});
}
const std::string kMargin = R"({"materials": {"soybean-whole": {"moisture_window": {"margin": 0.3}}}})";
} // namespace

TEST_CASE("the moisture window's bounds belong to it") {
    const Judged season = read({"A,5.00,37,20", "B,4.99,37,20", "C,8.00,37,20", "D,8.01,37,20"});
    CHECK(season.told("moisture-low") == Told{"exclude B:moisture"});
    CHECK(season.told("moisture-high") == Told{"exclude D:moisture"});
    CHECK(season.verdicts("A") == "use");
    CHECK(season.verdicts("C") == "use");
    CHECK(season.verdicts("D") == "exclude");
}

TEST_CASE("within the margin a wet reading is looked at, and the margin's end belongs to it") {
    const Judged season = read({"A,8.30,37,20", "B,8.31,37,20", "C,4.70,37,20", "D,4.69,37,20"}, kMargin);
    CHECK(season.told("moisture-high") == Told{"review A:moisture", "exclude B:moisture"});
    CHECK(season.told("moisture-low") == Told{"review C:moisture", "exclude D:moisture"});
    CHECK(season.verdicts("A") == "review");
}

TEST_CASE("a severity asked for is never passed by the milder case of the margin") {
    const std::string note = R"({"materials": {"soybean-whole": {"moisture_window": {"margin": 0.3}}},
                                 "severity": {"moisture-high": "note"}})";
    CHECK(read({"A,8.20,37,20", "B,9,37,20"}, note).told("moisture-high") ==
          Told{"note A:moisture", "note B:moisture"});
    CHECK(read({"A,8.20,37,20"}, kMargin, {"moisture-high=exclude"}).told("moisture-high") ==
          Told{"exclude A:moisture"});
    CHECK(read({"A,8.20,37,20"}, kMargin, {"moisture-high=off"}).told("moisture-high").empty());
}

TEST_CASE("a moisture that cannot be is told as such and not as too wet") {
    const Judged season =
        read({"A,100,37,20", "B,-1,37,20", "C,6,37,20", "D,6.1,37,20", "E,6.3,36,20", "F,6,36,21"});
    CHECK(season.told("moisture-impossible") == Told{"exclude A:moisture", "exclude B:moisture"});
    CHECK(season.told("moisture-high").empty());
    CHECK(season.told("moisture-low").empty());
}

TEST_CASE("a reading without moisture keeps what needs none and loses what needs one") {
    const Judged season =
        Judged({{{"a.csv", soybeans({"A,,37,20,23", "B,6,37,20,23"}, "2026-10-05",
                                    "Moisture (%),Protein (% as is),Oil (% DM),Oleic (% of oil)")}}});
    CHECK(season.told("moisture-absent") == Told{"exclude A:protein"}); // dry to 13 % needs no moisture
    CHECK(season.mark("A", c::protein) == Mark::exclude);
    CHECK(season.mark("A", c::oil) == Mark::use);
    CHECK(season.mark("A", c::oleic) == Mark::use);
}

TEST_CASE("a reading without moisture is told too where no range needs one, or no column holds it") {
    for (const auto& [headings, row] : {std::pair("Moisture (%),Glucose (% as is)", "A,,0.5"),
                                        std::pair("Glucose (% as is),Fructose (% as is)", "A,0.5,")}) {
        const Judged season = Judged({{{"a.csv", soybeans({row}, "2026-10-05", headings)}}});
        CHECK(season.told("moisture-absent") == Told{"exclude A:glucose"});
    }
}

TEST_CASE("words for a wet reading name value, limit, and how far to dry") {
    const Judged season = read({"A,9.50,37,20"});
    CHECK(season.words("moisture-high") ==
          "moisture 9.50 % is above 8 %, the wet end of the window for soybean-whole");
}

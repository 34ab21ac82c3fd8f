// Which reading stands when a sample was read whole and ground.
#include "unit/rules/judged.hpp"

using namespace thresh;
using namespace thresh::test;

namespace {

Judged both(const std::string& coat, const std::string& rules = "{}",
            const std::string& ground = "6.4,37.0") {
    return Judged({{{"a.csv", "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n"
                              "Bench 1,2026-10-05 08:00:00,Soybean whole,A,6.4,36.1\n"
                              "Bench 1,2026-10-05 08:05:00,Soybean ground,A," +
                                  ground +
                                  "\n"
                                  "Bench 1,2026-10-05 08:10:00,Soybean whole,B,6.4,36.1\n"}},
                   rules,
                   "sample,line,material,seed_coat\nA,L1,soybean," + coat + "\nB,L2,soybean,yellow\n"});
}
const std::string kWhole =
    R"({"materials": {"soybean-whole": {"prefer": "whole"}, "soybean-ground": {"prefer": "whole"}}})";

} // namespace

TEST_CASE("ground stands unless the rules prefer whole") {
    CHECK(both("yellow").verdicts("A") == "superseded use");
    CHECK(both("yellow", kWhole).verdicts("A") == "use superseded");
    CHECK(both("yellow").told("read-both-ways") == Told{"note A"});
    CHECK(both("yellow").words("read-both-ways") ==
          "`A` was read whole and ground: the ground reading stands (`prefer` of the rules)");
    CHECK(both("yellow").verdicts("B") == "use");
}

TEST_CASE("a dark coat is judged ground whatever the rules prefer, and grinding it is done") {
    const Judged season = both("black", kWhole);
    CHECK(season.verdicts("A") == "superseded use");
    CHECK(season.words("read-both-ways") ==
          "`A` was read whole and ground: the ground reading stands (black coat)");
    CHECK(season.told("grind-first") == Told{"review A settled"});
}

TEST_CASE("a reading that cannot be used outranks nothing") {
    CHECK(both("yellow", "{}", "9.4,37.0").verdicts("A") == "use exclude");
    CHECK(both("yellow", "{}", "9.4,37.0").told("read-both-ways").empty());
}

TEST_CASE("a ground reading of a packet that is listed whole was not read whole") {
    const Judged season({{{"a.csv", "Date,Analysis,Sample ID,Moisture (%),Protein (% as is),Oil (% as is)\n"
                                    "2026-10-05 08:00:00,Soybean whole,A,6,37,20\n"
                                    "2026-10-06 08:00:00,Soybean ground,A,6,38,20\n"}},
                         "{}",
                         "sample,line,material,seed_coat\nA,L1,soybean-whole,black\n"});
    CHECK(season.told("grind-first").size() == 1);
    CHECK(season.told("material-mismatch").size() == 1);
}

TEST_CASE("what is found about one presentation of a sample leaves the readings of the other as they are") {
    const Judged season({{{"a.csv", "Date,Analysis,Sample ID,Moisture (%),Protein (% as is),Oil (% as is)\n"
                                    "2026-10-05 08:00:00,Soybean whole,A,6,37,20\n"
                                    "2026-10-05 08:01:00,Soybean ground,A,6,37,20\n"
                                    "2026-10-05 08:02:00,Soybean ground,A,6,40,20\n"}},
                         R"({"materials": {"soybean": {"prefer": null}}})"});
    CHECK(season.told("repeats-disagree") == Told{"review A:protein"});
    CHECK(season.verdicts("A") == "use review review");
}

TEST_CASE("a blank word for dark coats means no coat") {
    CHECK(both("yellow", R"({"dark_coats": ""})").told("grind-first").empty());
    CHECK(both("black", R"({"dark_coats": ["", "black"]})").told("grind-first").size() == 1);
}

// Rules about single values: expected, possible and calibrated ranges, cells that are no number, sums,
// flooding.
#include "unit/rules/judged.hpp"

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {
Judged read(const std::vector<std::string>& rows, const std::string& soybean = "{}",
            std::vector<std::string> severity = {},
            const std::string& heading = "Moisture (%),Protein (% as is),Oil (% as is)",
            const std::string& more = {}) {
    return Judged({{{"a.csv", soybeans(rows, "2026-10-05", heading)}},
                   R"({"materials": {"soybean-whole": )" + soybean + "}" + more + "}",
                   {},
                   {},
                   std::move(severity)});
}
} // namespace

TEST_CASE("a range is compared on its own basis, its bounds included") {
    // 40.02 at 8 % moisture is 43.5 dry; 41.4 at 8 % is 45 dry.
    const std::string dry = R"({"expected": {"protein": {"low": 43.5, "high": 45, "basis": "dry"}}})";
    const Judged season =
        read({"A,8,40.02,20", "B,8,40.01,20", "C,8,41.4,20", "D,8,41.41,20", "E,8,40.5,20"}, dry);
    CHECK(season.told("below-expected") == Told{"review B:protein"});
    CHECK(season.told("above-expected") == Told{"review D:protein"});
    CHECK(season.mark("B", c::protein) == Mark::review);
    CHECK(season.mark("B", c::oil) == Mark::use);
    CHECK(season.verdicts("B") == "use"); // a value was marked, not the reading
}

TEST_CASE("a range on another basis holds for very dry and very wet seed too") {
    // At 14 % moisture 38.7 is 45 dry, at 2 % 29.4 is 30 dry; at usual moistures 39 and 29 are well inside.
    const std::string dry = R"({"expected": {"protein": {"low": 30, "high": 45, "basis": "dry"}}})";
    const Judged season =
        read({"A,14,39,20", "B,14,38.69,20", "C,2,29,20", "D,2,29.41,20", "E,7,39,20", "F,7,28.5,20"}, dry);
    CHECK(season.told("above-expected") == Told{"review A:protein"});
    CHECK(season.told("below-expected") == Told{"review C:protein"});
}

TEST_CASE("an entry's own severity is stronger than the map, an option stronger than both") {
    const std::string own =
        R"({"expected": {"protein": {"high": 40, "basis": "as-is", "severity": "exclude"}}})";
    const std::string map = R"(, "severity": {"above-expected": "note"})";
    const std::vector<std::string> rows = {"A,6,41,20"};
    const std::string heading = "Moisture (%),Protein (% as is),Oil (% as is)";
    CHECK(read(rows, own, {}, heading, map).told("above-expected") == Told{"exclude A:protein"});
    CHECK(read(rows, own, {"above-expected=note"}, heading, map).told("above-expected") ==
          Told{"note A:protein"});
    CHECK(read({"A,6,55,20"}, "{}", {}, heading, map).told("above-expected") == Told{"note A:protein"});
}

TEST_CASE("fatty acids are selected for their extremes, so far ones are noted only") {
    const Judged season = read({"A,6,37,82"}, "{}", {}, "Moisture (%),Protein (% as is),Oleic (% of oil)");
    CHECK(season.told("above-expected") == Told{"note A:oleic"});
}

TEST_CASE(
    "a range for an oil type holds for the samples that the list gives this type, the other for the rest") {
    const std::string rules = R"({"materials": {"soybean-whole": {"expected": {"oleic": [
        {"low": 18, "high": 28}, {"low": 70, "high": 90, "oil_type": "high-oleic"}]}}}})";
    const std::string rows = soybeans({"A,6,37,80", "B,6,37,80", "C,6,37,25", "D,6,37,25"}, "2026-10-05",
                                      "Moisture (%),Protein (% as is),Oleic (% of oil)");
    const auto told = [&](const std::string& list) {
        const Judged season({{{"a.csv", rows}}, rules, list, {}, {}});
        Told all = season.told("above-expected");
        for (const std::string& below : season.told("below-expected"))
            all.push_back("below " + below);
        return all;
    };
    const Told for_any = {"note A:oleic", "note B:oleic"};
    CHECK(told("") == for_any);
    CHECK(told("sample,line\nA,L\nB,L\nC,L\nD,L\n") == for_any);
    CHECK(told("sample,line,oil_type\nA,L,\nB,L,\nC,L,\nD,L,\n") == for_any);
    CHECK(told("sample,line,oil_type\nA,L,\nB,L,high-oleic\nC,L,high-oleic\nD,L,other\n") ==
          Told{"note A:oleic", "below note C:oleic"});
    CHECK(told("sample,line,oil_type\nA,L,\nB,L,High-Oleic\nC,L,HIGH-OLEIC\nD,L,other\n") ==
          Told{"note A:oleic", "below note C:oleic"}); // as in the rules but for case
}

TEST_CASE("a value outside what is possible is said once and left out") {
    const Judged season = read({"A,6,101,20", "B,6,-2,20", "C,6,-0.2,20", "D,6,37,20"},
                               R"({"sep": {"protein": 0.5}, "possible": {"oil": {"low": 5, "high": 40}}})");
    CHECK(season.told("impossible-value") ==
          Told{"exclude A:protein", "exclude B:protein", "exclude C:protein"});
    CHECK(season.told("above-expected").empty());
    CHECK(season.told("below-expected").empty());
    CHECK(season.mark("A", c::protein) == Mark::exclude);
}

TEST_CASE("a small negative value is kept only where the possible range reaches to zero") {
    const std::string heading = "Moisture (%),Protein (% as is),Raffinose (% as is),Lysine (% as is)";
    const std::vector<std::string> rows = {"A,6,-1,-0.4,-0.19", "B,6,37,-0.5,-0.2", "C,6,0,0,0"};
    const auto told = [&](const std::string& protein) {
        return read(
                   rows,
                   R"({"sep": {"protein": 0.5, "raffinose": 0.15, "lysine": 0.065}, "possible": {"protein": )" +
                       protein + "}}",
                   {}, heading)
            .told("impossible-value");
    };
    const Told far_below = {"exclude B:raffinose", "exclude B:lysine"};
    CHECK(told(R"({"low": 0, "high": 60})") == far_below);
    CHECK(told(R"({"low": 25, "high": 60})") ==
          Told{"exclude A:protein", "exclude B:raffinose", "exclude B:lysine", "exclude C:protein"});
    CHECK(read(rows, "{}", {}, heading).words("impossible-value") ==
          "`protein` -1.06 % of dry matter is below 25, the possible limit for soybean-whole");
}

TEST_CASE("a value beyond the calibration asks for wet chemistry, a far scan for the whole reading") {
    const Judged season =
        read({"A,6,37,20,2.9", "B,6,37,20,3.1", "C,6,37,26,1"},
             R"({"calibrated": {"oil": {"low": 10, "high": 25, "basis": "as-is"}, "distance": 3}})", {},
             "Moisture (%),Protein (% as is),Oil (% as is),Global H");
    INFO(season.words("heading-unknown"));
    CHECK(season.told("outside-calibration").back() == "review C:oil");
}

TEST_CASE("a cell that is no number is told, one below the limit is a note") {
    const Judged season = read({"A,6,3x.1,20", "B,6,37,<0.5"});
    CHECK(season.told("cell-unreadable") == Told{"review A:protein"});
    CHECK(season.told("below-limit") == Told{"note B:oil"});
}

TEST_CASE("values are told wherever they stand in a long export, each once") {
    std::string text = "Sample ID,Analysis,Moisture (%),Protein (% as is),Oil (% as is)\n";
    Told high, wet, absent;
    for (int row = 0; row < 9001; ++row) {
        const int which = row % 1024 == 1023 || row == 0 || row == 9000 ? row % 3 : 9;
        text += fmt::format("S{:04},Soybean whole,{},{},20.1\n", row,
                            which == 1   ? "9"
                            : which == 2 ? ""
                                         : "6.5",
                            which == 0 ? "53" : "37.2");
        if (which == 0)
            high.push_back(fmt::format("review S{:04}:protein", row));
        if (which == 1)
            wet.push_back(fmt::format("exclude S{:04}:moisture", row));
        if (which == 2)
            for (const char* of : {"protein", "oil"})
                absent.push_back(fmt::format("exclude S{:04}:{}", row, of));
    }
    const Judged season({{{"a.csv", text}}});
    CHECK(season.told("above-expected") == high);
    CHECK(season.told("moisture-high") == wet);
    CHECK(season.told("moisture-absent") == absent);
}

TEST_CASE("fatty acids that do not add up to the oil are told for the reading") {
    const std::string heading =
        "Moisture (%),Palmitic (% of oil),Stearic (% of oil),Oleic (% of oil),Linoleic (% of "
        "oil),Linolenic (% of oil)";
    const Judged season = read(
        {"A,6,11,4,24,53,8", "B,6,11,4,14,53,8", "C,6,11,4,23,54,8", "D,6,11,4,25,52,8"}, "{}", {}, heading);
    REQUIRE(season.told("sum-off").size() == 1);
    CHECK(season.told("sum-off").front().ends_with(" B"));
}

TEST_CASE("proximates over 100 are told, and severity off silences them") {
    const std::string heading = "Moisture (%),Protein (% as is),Oil (% as is),Ash (% as is)";
    const std::vector<std::string> rows = {"A,7,56,45,5", "B,6,37,20,5"};
    CHECK(read(rows, "{}", {}, heading).told("sum-off") == Told{"review A"});
    CHECK(read(rows, "{}", {"sum-off=off"}, heading).told("sum-off").empty());
    CHECK(read(rows, "{}", {}, heading, R"(, "severity": {"sum-off": "note"})").told("sum-off") ==
          Told{"note A"});
}

TEST_CASE("a sum between its limits and the narrower ones of a note is a note") {
    const std::string heading =
        "Moisture (%),Palmitic (% of oil),Stearic (% of oil),Oleic (% of oil),Linoleic (% of "
        "oil),Linolenic (% of oil)";
    CHECK(read({"A,6,11,4,24,53,8", "B,6,11,4,18,53,7", "C,6,11,4,28,53,8"}, "{}", {}, heading)
              .told("sum-off") == Told{"note B", "note C"});
}

TEST_CASE("proximates on another basis are added as read") {
    // 93 at 13 % moisture is 93 x 94 / 87 = 100.5 of seed at 6 %; 99 of dry matter is 92.1 of seed at 7 %.
    const std::string heading = "Moisture (%),Protein 13% mb,Oil 13% mb,Ash 13% mb";
    std::vector<std::string> rows = {"A,6,50,38,5", "B,6,37,20,5"};
    for (const int further : {0, 200}) { // few rows and many are looked at in two ways
        for (int i = 0; i < further; ++i)
            rows.push_back(fmt::format("C{},6,{:.1f},20,5", i, 37 + i % 9 * 0.1));
        const Judged season = read(rows, "{}", {}, heading);
        CHECK(season.told("sum-off") == Told{"review A"});
        CHECK(season.words("sum-off").starts_with("moisture + protein + oil + ash: 106.48 is above "));
    }
    CHECK(
        read({"A,7,60,35,4", "B,6,37,20,5"}, "{}", {}, "Moisture (%),Protein (% dry),Oil (% dry),Ash (% dry)")
            .told("sum-off")
            .empty());
}

TEST_CASE("when more than a fifth of a file's readings leave a range, the range is told and no reading") {
    std::vector<std::string> rows;
    for (int i = 0; i < 20; ++i)
        rows.push_back(fmt::format("A{},6,{},20", i, i < 5 ? 50 : 37));
    const Judged flooded = read(rows);
    CHECK(flooded.told("above-expected") == Told{"review a.csv:protein"});
    CHECK(flooded.mark("A0", c::protein) == Mark::use);
    rows[4] = "A4,6,37,20"; // four of twenty are a fifth, not more
    CHECK(read(rows).told("above-expected").size() == 4);
    CHECK(read(rows, "{}", {}, "Moisture (%),Protein (% as is),Oil (% as is)",
               R"(, "tests": {"flood_percent": 10})")
              .told("above-expected") == Told{"review a.csv:protein"});
    CHECK(read(rows, "{}", {}, "Moisture (%),Protein (% as is),Oil (% as is)",
               R"(, "tests": {"flood_percent": 30})")
              .told("above-expected")
              .size() == 4);
}

TEST_CASE("readings of a table without the constituent do not count when a limit is asked whether it fits") {
    std::string text = "Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n";
    for (int i = 0; i < 20; ++i)
        text += fmt::format("2026-10-05 08:{:02}:00,Soybean whole,A{},6,{}\n", i, i, i < 5 ? 50 : 37);
    text += "Date,Analysis,Sample ID,Moisture (%),Oil (% as is)\n"; // a further table in the same file
    for (int i = 0; i < 30; ++i)
        text += fmt::format("2026-10-05 09:{:02}:00,Soybean whole,B{},6,20\n", i, i);
    CHECK(Judged({{{"a.csv", text}}}).told("above-expected") == Told{"review a.csv:protein"});
}

TEST_CASE("a finding about a limit that does not fit is as strong as the strongest that it stands for") {
    const std::string ranges = R"({"expected": {"oleic": [
        {"high": 30, "severity": "note"}, {"high": 30, "oil_type": "mid", "severity": "exclude"}]}})";
    std::vector<std::string> rows;
    std::string list = "sample,line,oil_type\n";
    for (int i = 0; i < 20; ++i) {
        rows.push_back(fmt::format("A{:02},6,37,40", i));
        list += fmt::format("A{:02},L,{}\n", i, i == 7 ? "mid" : "");
    }
    for (int round = 0; round < 2; ++round) {
        const std::string text =
            soybeans(rows, "2026-10-05", "Moisture (%),Protein (% as is),Oleic (% of oil)");
        const Judged season(
            {{{"a.csv", text}}, R"({"materials": {"soybean-whole": )" + ranges + "}}", list, {}, {}});
        CHECK(season.told("above-expected") == Told{"exclude a.csv:oleic"});
        std::swap(rows[0], rows[7]);
    }
}

TEST_CASE("sums that are off in most readings of a file become one finding about it") {
    std::vector<std::string> rows;
    for (int i = 0; i < 12; ++i)
        rows.push_back(fmt::format("A{},7,56,45,5", i));
    const Judged season = read(rows, "{}", {}, "Moisture (%),Protein (% as is),Oil (% as is),Ash (% as is)");
    CHECK(season.told("sum-off") == Told{"review a.csv"});
    CHECK(season.words("sum-off").find("12 of 12") != std::string::npos);
}

TEST_CASE("a reading that misses two sums counts once towards the flood") {
    std::vector<std::string> rows;
    const std::string heading =
        "Moisture (%),Protein (% as is),Oil (% as is),Ash (% as is),Sucrose (% as is),Sugars (% as is)";
    for (int i = 0; i < 20; ++i)
        rows.push_back(fmt::format("A{},{}", i, i < 3 ? "7,56,45,5,9,2" : "6,37,20,5,4,7"));
    CHECK(read(rows, "{}", {}, heading).told("sum-off").size() == 6);
}

TEST_CASE("a check of one's own marks the readings for which it holds, on the wanted basis") {
    const std::string checks = R"(, "checks": [
        {"name": "light", "when": "protein_plus_oil < 50", "severity": "review", "message": "less protein and oil than we grow"},
        {"name": "rich", "when": "protein > 40 && oil > 22", "severity": "note"}])";
    // At 13 % moisture: A 37 and 20 at 6 % are 52.8 together, B 34 and 19 are 49.05, C has no oil.
    const Judged season = read({"A,6,37,20", "B,6,34,19", "C,6,30,", "D,6,44,24"}, "{}", {},
                               "Moisture (%),Protein (% as is),Oil (% as is)", checks);
    CHECK(season.told("own-check") == Told{"review B", "note D"});
    CHECK(season.verdicts("B") == "review");
    CHECK(season.words("own-check") ==
          "less protein and oil than we grow: `protein_plus_oil < 50` holds with protein_plus_oil 49.05");
}

TEST_CASE("a check without a severity of its own follows the severity map, one with it does not") {
    const auto told = [](const std::string& own, const std::string& option = {}) {
        return read({"A,6,37,20"}, "{}", option.empty() ? std::vector<std::string>() : std::vector{option},
                    "Moisture (%),Protein (% as is),Oil (% as is)",
                    R"(, "severity": {"own-check": "note"}, "checks": [{"name": "c", "when": "oil > 1")" +
                        own + "}]")
            .told("own-check");
    };
    CHECK(told("") == Told{"note A"});
    CHECK(told(R"(, "severity": "exclude")") == Told{"exclude A"});
    CHECK(told(R"(, "severity": "exclude")", "own-check=review") == Told{"review A"});
    CHECK(read({"A,6,37,20"}, "{}", {}, "Moisture (%),Protein (% as is),Oil (% as is)",
               R"(, "checks": [{"name": "c", "when": "oil > 1"}])")
              .told("own-check") == Told{"review A"});
}

TEST_CASE("a check of one's own takes a cell below the limit for what the rules count it for") {
    const auto told = [](const std::string& below_limit) {
        return read({"A,6,37,<0.05", "B,6,37,0.2"}, "{}", {},
                    "Moisture (%),Protein (% as is),Raffinose (% as is)",
                    R"(, "below_limit": ")" + below_limit +
                        R"(", "checks": [{"name": "low", "when": "raffinose < 0.03"}])")
            .told("own-check");
    };
    CHECK(told("half") == Told{"review A"});
    CHECK(told("zero") == Told{"review A"});
    CHECK(told("limit").empty());
    CHECK(told("omit").empty());
}

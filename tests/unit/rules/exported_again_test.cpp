// Readings that were exported again: which of the rows counts, and what is told.
#include "unit/rules/judged.hpp"

using namespace thresh;
using namespace thresh::test;

TEST_CASE("the same reading in two exports counts once, with other values it is asked about") {
    const std::string first = soybeans({"A,6.50,37.0,20", "B,6.6,37.2,20.2"});
    const Judged same = Judged({{{"a.csv", first}, {"b.csv", soybeans({"A,6.5,37.00,20.0"})}}});
    CHECK(same.told("reading-repeated").size() == 1);
    CHECK(same.verdicts("A") == "use");
    const Judged other = Judged({{{"a.csv", first}, {"b.csv", soybeans({"A,6.5,38,20.0"})}}});
    CHECK(other.told("reading-changed") == Told{"review A"});
}

TEST_CASE("values of complementary exports all stand, and nothing is told of them") {
    const Judged season = Judged(
        {{{"acids.csv", soybeans({"A,23.5,53.1"}, "2026-10-05", "Oleic (% of oil),Linoleic (% of oil)")},
          {"prox.csv", soybeans({"A,6.5,37.5,19.1"})}}});
    CHECK(season.told("reading-repeated").empty());
    CHECK(season.verdicts("A") == "use use");
}

TEST_CASE("a row that was cut off is the repeated one, whatever the files are called") {
    const std::string cut_off = soybeans({"A,6.5,37"}, "2026-10-05", "Moisture (%),Protein (% as is)");
    const std::string whole = soybeans({"A,6.5,37.44,19.2"});
    const Judged first = Judged({{{"a.csv", cut_off}, {"b.csv", whole}}});
    CHECK(first.words("reading-repeated") == "the same reading as b.csv:2, counted once");
    const Judged second = Judged({{{"a.csv", whole}, {"b.csv", cut_off}}});
    CHECK(second.words("reading-repeated") == "the same reading as a.csv:2, counted once");
}

TEST_CASE("a reading in two rows with values of their own is told, many of two files as one") {
    const std::string protein = "Moisture (%),Protein (% as is)", oil = "Moisture (%),Oil (% as is)";
    const Judged one = Judged({{{"a.csv", soybeans({"A,6.5,37.1"}, "2026-10-05", protein)},
                                {"b.csv", soybeans({"A,6.5,19.2"}, "2026-10-05", oil)}}});
    CHECK(one.told("reading-in-parts") == Told{"review A"});
    CHECK(one.words("reading-in-parts") == "the same reading as b.csv:2, each with values that the other "
                                           "lacks: protein 37.1 here, missing there; "
                                           "oil missing here, 19.2 there");
    CHECK(one.told("reading-repeated").empty());
    CHECK(one.verdicts("A") == "review");
    const Judged two = Judged({{{"a.csv", soybeans({"A,6.5,37.1", "B,6.6,38.1"}, "2026-10-05", protein)},
                                {"b.csv", soybeans({"A,6.5,19.2", "B,6.6,19.3"}, "2026-10-05", oil)}}});
    CHECK(two.told("reading-in-parts") == Told{"review b.csv"});
    CHECK(two.words("reading-in-parts") == "2 readings stand here and in a.csv, each row with values that "
                                           "the other lacks: those of a.csv count, "
                                           "what only the rows here have is missing");
}

TEST_CASE("dropping one row of a changed reading settles it, dropping a repeated one drops the reading") {
    const auto season = [](const std::string& protein, const std::string& source) {
        return Judged(
            {{{"a.csv", soybeans({"A,6.5,37.0,20.0"})}, {"b.csv", soybeans({"A,6.5," + protein + ",20.0"})}},
             "{}",
             {},
             "source,row,decision,reason,initials\n" + source + ",2,drop,cup not full,AB\n"});
    };
    const Judged first = season("38.0", "a.csv"), second = season("38.0", "b.csv");
    CHECK(first.told("reading-changed").empty());
    CHECK(first.verdicts("A") == "exclude use");
    CHECK(second.verdicts("A") == "use exclude");
    CHECK(season("37.0", "a.csv").verdicts("A") == "exclude");
    CHECK(season("37.0", "b.csv").verdicts("A") == "exclude");
}

namespace {
// Readings with seconds of their own, `protein` apart by `more`, under a calibration.
std::string predicted(const std::string& calibration, double more, int count = 6) {
    std::string text = "Date,Analysis,Calibration,Sample ID,Moisture (%),Protein (% as is)\n";
    for (int i = 0; i < count; ++i)
        text += fmt::format("2026-10-05 08:{:02}:{:02},Soybean whole,{},A{},6.{},{:.1f}\n", i, 7 * i + 3,
                            calibration, i, i, 36.5 + i * 0.1 + more);
    return text;
}
} // namespace

TEST_CASE("a whole file predicted again under a new calibration is one finding that says which counts") {
    const Judged season = Judged({{{"a.csv", predicted("S-1", 0)}, {"b.csv", predicted("S-2", 0.4)}}});
    CHECK(season.told("reading-changed") == Told{"review a.csv"});
    CHECK(season.words("reading-changed") ==
          "6 readings were predicted again, with calibration `S-1` here and `S-2` in b.csv: "
          "those of b.csv count, by the later name");
    CHECK(season.verdicts("A0") == "use");
    // Without a calibration to explain it, each reading is asked about.
    CHECK(Judged({{{"a.csv", predicted("S-1", 0)}, {"b.csv", predicted("S-1", 0.4)}}})
              .told("reading-changed")
              .size() == 6);
}

TEST_CASE("a row whose ID says only that it is missing keeps no file from being predicted again") {
    const auto with_minutes = [](const std::string& calibration, double more, const std::string& last) {
        std::string text = "Date,Analysis,Calibration,Sample ID,Moisture (%),Protein (% as is)\n";
        for (int i = 0; i < 7; ++i)
            text += fmt::format("2026-10-05 08:{:02},Soybean whole,{},{},6.{},{:.1f}\n", i, calibration,
                                i == 6 ? last : fmt::format("A{}", i), i, 36.5 + i * 0.1 + more);
        return text;
    };
    for (const char* last : {"", "#N/A", "-", "NA"}) {
        const Judged season(
            {{{"a.csv", with_minutes("S-1", 0, last)}, {"b.csv", with_minutes("S-2", 0.4, last)}}});
        CHECK(season.told("reading-changed").size() == 1);
        CHECK(season.verdicts("A0") == "use");
    }
}

TEST_CASE("a reading exported again counts once whatever the order of columns, the encoding and the decimals "
          "shown") {
    const std::string first =
        "Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n2026-10-05 08:01:07,Soybean whole,"
        "Bl\xC3\xBC-1,6.25,37.04\n2026-10-05 08:02:09,Soybean whole,B-2,6.5,36\n";
    const std::string again =
        "Sample ID;Protein (% as is);Moisture (%);Analysis;Date\nBl\xFC-1;37,0;6,25;Soybean whole;"
        "2026-10-05 08:01:07\nB-2;36,0;6,5;Soybean whole;2026-10-05 08:02:09\n";
    const Judged season = Judged({{{"a.csv", first}, {"z.csv", again}}});
    CHECK(season.told("reading-repeated").size() == 2);
    CHECK(season.told("reading-changed").empty());
    CHECK(season.verdicts("B-2") == "use");
}

TEST_CASE("readings without seconds or without a time are not mistaken for each other") {
    const std::string minutes =
        "Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n2026-10-05 08:01,Soybean whole,A,"
        "6.2,37\n2026-10-05 08:01,Soybean whole,A,6.2,37.3\n";
    const Judged within = Judged({{{"a.csv", minutes}}});
    CHECK(within.told("reading-changed").empty());
    CHECK(within.verdicts("A") == "use use");
    const std::string none =
        "Analysis,Sample ID,Moisture (%),Protein (% as is)\nSoybean whole,A,6.2,37\nSoybean whole,A,6.2,"
        "37.3\n";
    CHECK(Judged({{{"a.csv", none}}}).verdicts("A") == "use use");
}

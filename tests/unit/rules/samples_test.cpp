// Rules about samples: repeats, outliers, neighbours, IDs, lists; superseding and decisions.
#include "unit/rules/judged.hpp"

#include <cmath>

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {
const std::string kSd = R"({"materials": {"soybean-whole": {"repeatability_sd": {"protein": 0.2, "oil": 0.15,
                            "moisture": 0.08}, "key": ["moisture", "protein", "oil"]}}})";
Judged read(const std::vector<std::string>& rows, const std::string& rules = "{}",
            const std::string& list = {}, const std::string& decisions = {}) {
    return Judged({{{"a.csv", soybeans(rows)}}, rules, list, decisions});
}
} // namespace

TEST_CASE("two readings of a sample disagree beyond the critical range of ISO 5725-6 shared by three "
          "constituents") {
    // f(2) at 1 - 0.05/3: sqrt(2) z(0.991667) = 3.3856; of 0.2 % protein on dry matter 0.6771, at 6 %
    // moisture 0.6365. By default 0.3 %: sqrt(2) z(0.9995) = 4.6535, at 6 % moisture 0.8749.
    const auto told = [](const std::string& second, const std::string& rules) {
        return read({"A,6.00,37.00,20", "A,6.00," + second + ",20"}, rules).told("repeats-disagree");
    };
    const std::string iso = kSd.substr(0, kSd.rfind('}')) + R"(, "tests": {"repeats_percent": 5}})";
    CHECK(told("37.63", iso).empty());
    CHECK(told("37.65", iso) == Told{"review A:protein"});
    CHECK(told("37.87", kSd).empty());
    CHECK(told("37.88", kSd) == Told{"review A:protein"});
}

TEST_CASE("a repeatability of a rules file stands against the season's own, a built-in one does not") {
    std::vector<std::string> rows;
    for (int i = 0; i < 12; ++i)
        for (const double protein : {36.0, 37.5})
            rows.push_back(fmt::format("A{},6,{},20", i, protein + i * 0.1));
    CHECK(read(rows, kSd).told("repeats-disagree").size() == 12);
    CHECK(read(rows).told("repeats-disagree").empty());
}

TEST_CASE(
    "an outlier is found in each presentation that a sample was read in, whatever the files are called") {
    std::string list = "sample,line,trial,environment,plot\n";
    const std::string heading = "Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n";
    std::string whole = heading, ground = heading;
    int plot = 0;
    for (int line = 0; line < 8; ++line)
        for (int rep = 0; rep < 6; ++rep) {
            const std::string id = fmt::format("S{}{}", line, rep);
            list += fmt::format("{},L{},T,Hill,{}\n", id, line, ++plot);
            const double protein = 36 + line + 0.3 * std::sin(1.7 * plot) + 0.2 * std::cos(0.9 * plot * plot);
            const auto row = [&](int day, const char* as, double value) {
                return fmt::format("2026-10-0{} 08:{:02}:00,Soybean {},{},6,{:.2f}\n", day, plot, as, id,
                                   value);
            };
            whole += row(5, "whole", protein);
            ground += row(6, "ground", protein + (id == "S31" ? 5 : 0));
        }
    for (const char* name : {"a.csv", "z.csv"})
        CHECK(Judged({{{name, ground}, {"m.csv", whole}}, "{}", list}).told("outlier-in-line") ==
              Told{"review S31:protein"});
}

TEST_CASE("where most repeats are equal to the last digit the season gives no repeatability of its own") {
    std::vector<std::string> rows;
    for (int i = 0; i < 14; ++i)
        for (const double more : {0.0, i % 7 == 3 ? 0.1 : 0.0})
            rows.push_back(fmt::format("A{},{:.1f},{:.1f},20", i, 6 + more, 36 + i * 0.1));
    const Judged season = read(rows);
    CHECK(season.told("repeats-disagree").empty());
    for (const auto& [of, sd] : season.judgement().repeatability_sd)
        CHECK(sd.sd > 0);
}

TEST_CASE("an excluded value is no repeat, its neighbour in the same reading still is") {
    const Judged season = read({"A,6,37.00,20", "A,6,170,21.5", "A,6,37.10,20"}, kSd);
    CHECK(season.told("impossible-value") == Told{"exclude A:protein"});
    CHECK(season.told("repeats-disagree") == Told{"review A:oil"});
}

TEST_CASE("an excluded value makes the critical range of the others no wider") {
    std::size_t disagree = 0;
    for (int hundredths = 3740; hundredths <= 3800; ++hundredths) {
        const std::string other = "A,6," + std::to_string(hundredths / 100.0) + ",20";
        const Told expected = read({"A,6,37.00,20", other}, kSd).told("repeats-disagree");
        CHECK(read({"A,6,37.00,20", other, "A,6,170,20"}, kSd).told("repeats-disagree") == expected);
        disagree += expected.size();
    }
    CHECK(disagree > 5);
    CHECK(disagree < 55);
}

TEST_CASE("readings of one sample in two sessions are not judged as repeats") {
    const Judged season =
        Judged({{{"a.csv", soybeans({"A,6,37,20"})}, {"b.csv", soybeans({"A,6,39,20"}, "2026-10-07")}}, kSd});
    CHECK(season.told("repeats-disagree").empty());
}

TEST_CASE("an extreme value that its re-reading confirms needs no third reading") {
    const Judged season = read({"A,6,50.0,20", "A,6,50.1,20", "B,6,37,20"}, kSd);
    CHECK(season.told("repeats-confirm") == Told{"note A:protein"});
    CHECK(read({"A,6,50.0,20", "B,6,37,20"}, kSd).told("repeats-confirm").empty());
}

TEST_CASE("neighbours equal in every digit under two IDs were not both read") {
    const std::string rules = R"({"tests": {"stuck_constituents": 3}})";
    const Judged season = read({"A,6.1,37.2,20.3", "B,6.1,37.2,20.3", "C,6.1,37.2,20.4"}, rules);
    CHECK(season.told("stuck-reading") == Told{"exclude A", "exclude B"});
    CHECK(season.verdicts("C") == "use");
    CHECK(read({"A,6.1,37.2,20.3", "A,6.1,37.2,20.3"}, rules).told("stuck-reading").empty());
}

TEST_CASE("few equal constituents are looked at, and a severity asked for is not passed") {
    CHECK(read({"A,6.1,37.2,20.3", "B,6.1,37.2,20.3"}).told("stuck-reading") == Told{"review A", "review B"});
    CHECK(read({"A,6.1,37.2,20.3", "B,6.1,37.2,20.3"}, R"({"severity": {"stuck-reading": "note"}})")
              .told("stuck-reading") == Told{"note A", "note B"});
}

TEST_CASE("a sample far from the others of its line is found, its environment taken off") {
    std::string list = "sample,line,trial,environment,plot\n";
    std::vector<std::string> rows;
    int plot = 0;
    for (const char* site : {"Hill", "Vale"})
        for (int line = 0; line < 6; ++line)
            for (int rep = 0; rep < 4; ++rep) {
                const std::string id = fmt::format("{}{}{}", site[0], line, rep);
                list += fmt::format("{},L{},T,{},{}\n", id, line, site, ++plot);
                const double wave = 0.3 * std::sin(1.7 * plot) + 0.2 * std::cos(0.9 * plot * plot);
                rows.push_back(fmt::format(
                    "{},6,{:.2f},{:.2f}", id,
                    36 + line + (site[0] == 'V' ? 2 : 0) + wave + (id == "V31" ? 5 : 0), 20 + wave / 2));
            }
    const Judged season = read(rows, "{}", list);
    CHECK(season.told("outlier-in-line") == Told{"review V31:protein"});
    // The same site in two years is two environments.
    std::string years = "sample,line,trial,environment,plot,year\n";
    for (std::size_t at = list.find('\n') + 1; at < list.size();) {
        const std::size_t end = list.find('\n', at);
        std::string row = list.substr(at, end - at);
        const bool vale = row.starts_with('V');
        if (vale)
            row.replace(row.find("Vale"), 4, "Hill");
        years += row + (vale ? ",2026\n" : ",2025\n");
        at = end + 1;
    }
    CHECK(read(rows, "{}", years).told("outlier-in-line") == Told{"review V31:protein"});
    // A sample without a value changes nothing about the others of its line; H5 comes behind V3 by line.
    std::vector<std::string> gaps = rows;
    for (std::string& row : gaps) {
        if (row.starts_with("V30") || row.starts_with("H20"))
            row = row.substr(0, 6) + "," + row.substr(row.rfind(','));
        if (row.starts_with("H51"))
            row = "H51,6,46.5,20.1";
    }
    CHECK(read(gaps, "{}", list).told("outlier-in-line") == Told{"review H51:protein", "review V31:protein"});
    // Plants of a segregating generation differ by right.
    std::string segregating = "sample,line,trial,environment,plot,kind\n";
    for (std::size_t at = list.find('\n') + 1; at < list.size();) {
        const std::size_t end = list.find('\n', at);
        segregating += list.substr(at, end - at) + ",single_plant\n";
        at = end + 1;
    }
    CHECK(read(rows, "{}", segregating).told("outlier-in-line").empty());
}

TEST_CASE(
    "an unlisted sample is named with its nearest listed IDs, a listed one that was not read is missed") {
    const Judged season =
        read({"N-1O2,6,37,20", "N-103,6,37,20"}, "{}", "sample,line\nN-102,North\nN-103,East\n");
    CHECK(season.told("sample-unlisted") == Told{"review N-1O2"});
    CHECK(season.words("sample-unlisted") == "`N-1O2` is not in the sample list; nearest listed: `N-102`");
    CHECK(season.told("sample-unread") == Told{"note N-102"});
}

TEST_CASE("IDs that a spreadsheet made of listed ones are told") {
    const Judged season =
        read({"03-Dec,6,37,20", "B-2,6,37,20"}, "{}", "sample,line\nDEC3,North\nB-2,East\n");
    CHECK(season.told("id-altered") == Told{"review 03-Dec"});
    CHECK(season.words("id-altered").find("it may have been `DEC3`") != std::string::npos);
}

TEST_CASE("IDs that a spreadsheet altered in the sample list are told with the readings they may belong to") {
    const auto told = [](const std::string& listed, const std::string& read_as) {
        const Judged season = read({read_as + ",6,37,20", "B-2,6,37,20"}, "{}",
                                   "sample,line\n" + listed + ",North\nB-2,East\n");
        return season.told("id-altered").empty() ? "" : season.words("id-altered");
    };
    const std::string altered =
        " in the sample list looks like an ID that a spreadsheet took for a number or a date; "
        "it may have been ";
    CHECK(told("12-Mar", "3-12") == "`12-Mar`" + altered + "`3-12`");
    CHECK(told("2026-03-12", "3-12") == "`2026-03-12`" + altered + "`3-12`");
    CHECK(told("01-Sep", "SEPT1") == "`01-Sep`" + altered + "`SEPT1`");
    CHECK(told("1.10E+05", "11E4") == "`1.10E+05`" + altered + "`11E4`");
    CHECK(told("\"1,10E+05\"", "11E4") == "`1,10E+05`" + altered + "`11E4`");
    CHECK(told("\"417,0\"", "0417") == "`417,0`" + altered + "`0417`");
    CHECK(told("2.40417E+11", "240417000123") == "`2.40417E+11`" + altered + "`240417000123`");
    CHECK(told("417.0", "0417") == "`417.0`" + altered + "`0417`");
    CHECK(told("2026010000012340", "2026010000012347") ==
          "`2026010000012340`" + altered + "`2026010000012347`");
    CHECK(told("2026010000012340", "2026010000012447").empty());
    CHECK(told("12-Mar", "4-12") == ""); // not read, but nothing says that the list is wrong
    CHECK(told("12-Mar", "12-Mar") == "");
    CHECK(told("417", "418") == "");
}

TEST_CASE("an ID read again after more than sixty days may be another packet") {
    const auto after = [](const std::string& day) {
        return Judged({{{"a.csv", soybeans({"A,6,37,20"}, "2026-08-01")},
                        {"b.csv", soybeans({"A,6,37.1,20"}, day)}}})
            .told("id-reused");
    };
    CHECK(after("2026-09-30").empty()); // 60 days
    CHECK(after("2026-10-01") == Told{"review A"});
    // In a long season: by sessions, and within one session that is as long as the season.
    for (const char* gap : {"24", "2000"}) {
        const Judged season(
            {.exports = {{"a.csv", soybeans({"A,6,37,20", "B,6,38,20", "D,6,36,21"}, "2026-06-01")},
                         {"b.csv", soybeans({"B,6,38.1,20", "C,6,39,20"}, "2026-07-31")},
                         {"c.csv", soybeans({"A,6,37.1,20", "C,6,39.1,20"}, "2026-08-02")},
                         {"d.csv", soybeans({"C,6,39.2,20", "D,6,36.1,21"}, "2026-09-28")}},
             .rules = fmt::format(R"({{"session_gap_hours": {}}})", gap)});
        CHECK(season.batch().sessions.size() == (gap == std::string("24") ? 4 : 1));
        CHECK(season.told("id-reused") == Told{"review A", "review D"});
    }
}

TEST_CASE("a blank ID, an unknown material and a listed material read as another are told") {
    const std::string text =
        "Analysis,Sample ID,Moisture (%),Protein (% as is)\nSoybean whole,,6,37\nMaize,B,12,9\n"
        "Soybean ground,C,6,37\n";
    const Judged season =
        Judged({{{"a.csv", text}}, "{}", "sample,line,material\nB,East,\nC,West,soybean-whole\n"});
    CHECK(season.told("id-blank").size() == 1);
    CHECK(season.told("material-unknown") == Told{"review B"});
    CHECK(season.told("material-mismatch") == Told{"review C"});
}

TEST_CASE("what stands for a missing ID belongs to nobody, unless a list makes it an ID") {
    const std::vector<std::string> rows = {"#N/A,6,37,20", "#N/A,6,41,20", "-,6,37,20", "NA,6,37,20",
                                           "#12,6,37,20"};
    const Judged season = read(rows, "{}");
    CHECK(season.told("id-blank").size() == 4);
    CHECK(season.told("repeats-disagree").empty());
    CHECK(season.words("id-blank") == "`#N/A` stands where the sample ID should, and is none");
    REQUIRE(season.batch().samples.size() == 1);
    CHECK(season.batch().samples[0].id == "#12");
    CHECK(read(rows, "{}", "sample,line\nNA,North\n#12,East\n").told("id-blank").size() == 3);
}

TEST_CASE("dark seed read whole is to be ground, but never what must stay whole or was treated") {
    const Judged season = read({"A,6,37,20", "B,6,37,20.1", "C,6,37,20.2", "D,6,37,20.3"}, "{}",
                               "sample,line,seed_coat,keep_whole,treated\nA,North,black,no,no\nB,East,black,"
                               "yes,no\nC,West,black,no,yes\n"
                               "D,South,yellow,no,no\n");
    CHECK(season.told("grind-first") == Told{"review A"});
}

TEST_CASE("a clean later reading takes the place of a wet one, never of an extreme one") {
    const Judged season = Judged(
        {{{"a.csv", soybeans({"A,9.5,37,20", "B,6,50,20", "C,9.5,37.5,20.5"})},
          {"b.csv", soybeans({"A,6.5,37.4,20.1", "B,6.2,38,20.2", "C,9.1,37.6,20.6"}, "2026-10-06")}}});
    CHECK(season.verdicts("A") == "superseded use");
    CHECK(season.told("moisture-high").front() == "exclude A:moisture settled");
    CHECK(season.verdicts("B") == "use use");
    CHECK(season.mark("B", c::protein) == Mark::review);
    CHECK(season.verdicts("C") == "exclude exclude");
}

TEST_CASE("a re-reading is not sent back for differing from the reading that it replaces") {
    // Within the margin a wet reading is for review, so its values would be compared.
    const std::string rules =
        R"({"materials": {"soybean-whole": {"moisture_window": {"low": 5, "high": 8, "margin": 0.5}}}})";
    const Judged season = read({"A,8.3,33.0,18.3", "A,7,36.1,20.0", "B,7,36,20"}, rules);
    CHECK(season.told("moisture-high") == Told{"review A:moisture settled"});
    CHECK(season.told("repeats-disagree").empty());
    CHECK(season.verdicts("A") == "superseded use");
    // Two re-readings are compared with each other.
    const Judged again = read({"A,8.3,33.0,18.3", "A,7,36.1,20.0", "A,7,38.1,20.0"}, rules);
    CHECK(again.told("repeats-disagree") == Told{"review A:protein"});
    CHECK(again.verdicts("A") == "superseded review review");
    // A reading that nothing replaces is compared: here the later one is the wet one.
    CHECK_FALSE(read({"A,7,36.1,20.0", "A,8.3,33.0,18.3"}, rules).told("repeats-disagree").empty());
}

TEST_CASE("a re-reading in a session that turns out unsound replaces nothing") {
    const std::string rules = R"({"materials": {"soybean-whole": {
        "moisture_window": {"low": 5, "high": 8, "margin": 0.5}}},
        "controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})";
    const Judged season = read({"CTRL,6,40,20", "A,8.3,36.0,20", "A,7,36.1,20.0", "CTRL,6,42,20"}, rules);
    CHECK(season.told("moisture-high") == Told{"review A:moisture"});
    CHECK(season.verdicts("A") == "review use");
}

TEST_CASE("a reading with doubtful values stands beside its re-reading") {
    const std::string heading = "Moisture (%),Protein (% as is),Oil (% as is),Ash (% as is)";
    const Judged season = Judged({{{"a.csv", soybeans({"A,7,56,45,5"}, "2026-10-05", heading)},
                                   {"b.csv", soybeans({"A,6,37,20,5"}, "2026-10-06", heading)}}});
    CHECK(season.told("sum-off") == Told{"review A"});
    CHECK(season.verdicts("A") == "review use");
}

TEST_CASE("a later faulty reading does not take the place of an earlier clean one") {
    const Judged season =
        Judged({{{"a.csv", soybeans({"A,6.5,37,20"})}, {"b.csv", soybeans({"A,9.5,37,20"}, "2026-10-06")}}});
    CHECK(season.verdicts("A") == "use exclude");
}

TEST_CASE("a kept finding is settled and its mark goes with it") {
    const Judged season = read({"A,6,50,20", "B,6,51,20"}, "{}", {},
                               "sample,code,decision,reason,initials\nA,above-expected,keep,seen,AB\n");
    CHECK(season.told("above-expected") == Told{"review A:protein settled", "review B:protein"});
    CHECK(season.mark("A", c::protein) == Mark::use);
    CHECK(season.mark("B", c::protein) == Mark::review);
    CHECK(season.told("decision-unmatched").empty());
}

TEST_CASE("a keep that names a file and a code settles the finding about the file, and none about readings") {
    const auto told = [](const std::string& code, const std::string& row, const std::string& finding) {
        const Judged season = Judged(
            {{{"a.csv", "Sample ID,Analysis,Moisture (%),Protein\n"
                        "A,Soybean whole,6,50\nB,Soybean whole,6,37\n"}},
             "{}",
             {},
             "source,row,code,decision,reason,initials\na.csv," + row + "," + code + ",keep,seen,AB\n"});
        return std::pair(season.told(finding), season.told("decision-unmatched").size());
    };
    const Told settled = {"note a.csv:protein settled"}, open = {"note a.csv:protein"};
    CHECK(told("basis-assumed", "", "basis-assumed") == std::pair(settled, std::size_t{0}));
    CHECK(told("basis-assumed", "1", "basis-assumed") ==
          std::pair(settled, std::size_t{0})); // where it is told
    CHECK(told("basis-assumed", "2", "basis-assumed") == std::pair(open, std::size_t{1}));
    CHECK(told("above-expected", "", "above-expected") ==
          std::pair(Told{"review A:protein"}, std::size_t{1}));
    CHECK(told("above-expected", "2", "above-expected") ==
          std::pair(Told{"review A:protein settled"}, std::size_t{0}));
    CHECK(told("", "2", "basis-assumed") == std::pair(open, std::size_t{0})); // of the reading in that row
}

TEST_CASE("a dropped reading leaves, a dropped value leaves alone, a mistyped constituent drops nothing") {
    const auto verdict = [](const std::string& constituent) {
        const Judged season =
            read({"A,6,37,20", "B,6,37.5,20.5"}, "{}", {},
                 "sample,constituent,decision,reason,initials\nA," + constituent + ",drop,spilt,AB\n");
        return fmt::format("{} {} {}", season.verdicts("A"), season.told("decision-unmatched").size(),
                           static_cast<int>(season.mark("A", c::protein)));
    };
    CHECK(verdict("") == "exclude 0 0");
    CHECK(verdict("protein") == "use 0 2");
    CHECK(verdict("protien") == "use 1 0");
}

TEST_CASE("a renamed sample is read under its right ID, and a decision without match is told") {
    const Judged season = read({"A,6,37,20", "X,6,37.5,20.1"}, "{}", "sample,line\nA,North\nB,East\n",
                               "sample,decision,to,reason,initials\nX,rename,B,label,AB\nQ,drop,,spilt,AB\n");
    CHECK(season.told("sample-unlisted").empty());
    CHECK(season.verdicts("B") == "use");
    CHECK(season.told("decision-unmatched").size() == 1);
}

TEST_CASE("a line with fewer usable plots than the list promises is noted") {
    const Judged season = read({"A,6,37,20", "B,9,37,20", "C,6,37,20.1"}, "{}",
                               "sample,line,plot\nA,North,1\nB,North,2\nC,East,3\nD,East,4\n");
    CHECK(season.told("few-samples") == Told{"note East", "note North"});
    CHECK(season.words("few-samples") == "`East` has 1 of 2 plots usable");
    CHECK(read({"A,6,37,20", "B,6,38,20"}, "{}", "sample,line,plot\nA,North,1\nB,North,2\n")
              .told("few-samples")
              .empty());
}

TEST_CASE("threads do not show in the judgement") {
    std::vector<std::string> rows;
    for (int i = 0; i < 400; ++i)
        rows.push_back(
            fmt::format("S{},{:.1f},{:.1f},20.{}", i % 150, 4 + i % 50 * 0.1, 30 + i % 200 * 0.1, i % 10));
    Written written{{{"a.csv", soybeans(rows)}, {"b.csv", soybeans(rows, "2026-10-09")}}};
    const Judged one(written);
    written.threads = 7;
    const Judged seven(written);
    REQUIRE(one.judgement().findings.size() == seven.judgement().findings.size());
    for (std::size_t i = 0; i < one.judgement().findings.size(); ++i) {
        const Finding &a = one.judgement().findings[i], &b = seven.judgement().findings[i];
        CHECK(std::tuple(a.code, a.severity, a.row, a.subject, a.constituent, a.settled) ==
              std::tuple(b.code, b.severity, b.row, b.subject, b.constituent, b.settled));
    }
    CHECK(one.judgement().verdict == seven.judgement().verdict);
}

TEST_CASE("where the rules name a check character, an ID that does not fit is told") {
    const std::string rules = R"({"check_characters": "verhoeff"})";
    const Judged season = read({"P-2363,6,37,20", "P-2633,6,37,20.1", "P-2364,6,37,20.2"}, rules);
    CHECK(season.told("id-mistyped") == Told{"review P-2364", "review P-2633"});
    CHECK(season.words("id-mistyped") == "the check character of `P-2364` does not fit (verhoeff)");
    CHECK(read({"P-2364,6,37,20"}).told("id-mistyped").empty());
}

TEST_CASE("a sample that is its own line is not asked for a second sample, but for a usable reading") {
    const std::string rows = "Sample ID,Analysis,Moisture (%),Protein (% as is)\n"
                             "A,Soybean whole,6.5,38\nB,Soybean whole,9.5,38\n";
    const Judged alone({{{"a.csv", rows}}});
    CHECK(alone.told("few-samples") == Told{"note B"});
    CHECK(alone.words("few-samples") == "`B` has 0 of 1 samples usable");
    const Judged listed({{{"a.csv", rows}}, "{}", "sample,line\nA,East\nB,B\n"});
    CHECK(listed.told("few-samples") == Told{"note B", "note East"});
}

// Rules about sessions: wavelength standard and control samples.
#include "unit/rules/judged.hpp"

#include <thresh/stats/random.hpp>

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {
// Rows `08:00,Polystyrene,STD,1143.6` or `08:10,Soybean whole,A,,6,37`: time, analysis, sample, peak,
// moisture, protein.
std::string session(const std::vector<std::string>& rows, const std::string& day = "2026-10-05",
                    const std::string& instrument = "Bench 1") {
    std::string text = "Instrument,Date,Analysis,Sample ID,Peak (nm),Moisture (%),Protein (% as is)\n";
    for (const std::string& row : rows)
        text += fmt::format("{},{} {}\n", instrument, day, row);
    return text;
}
const std::string kSoy = "08:30:00,Soybean whole,A,,6,37";
std::string standard(const std::string& peak, const std::string& at = "08:00:00") {
    return at + ",Polystyrene,STD," + peak + ",,";
}
Judged read(const std::vector<std::string>& rows, const std::string& rules = "{}") {
    return Judged({{{"a.csv", session(rows)}}, rules});
}
} // namespace

TEST_CASE("a standard off its place is told in two tiers, each end inclusive") {
    CHECK(read({standard("1144.10"), kSoy}).told("standard-off").empty());
    CHECK(read({standard("1144.11"), kSoy}).told("standard-off").front().starts_with("review"));
    CHECK(read({standard("1142.60"), kSoy}).told("standard-off").front().starts_with("review"));
    const Judged season = read({standard("1144.61"), kSoy});
    CHECK(season.told("standard-off").front().starts_with("exclude"));
    CHECK(season.verdicts("A") == "exclude");
}

TEST_CASE("before the samples the last reading of the standard counts") {
    CHECK(read({standard("1145.0"), standard("1143.5", "08:10:00"), kSoy}).told("standard-off").empty());
    CHECK(read({standard("1143.5"), standard("1145.0", "08:10:00"), kSoy}).told("standard-off").size() == 1);
}

TEST_CASE("a standard after the samples only is absent for them") {
    const Judged season = read({kSoy, standard("1143.6", "09:00:00")});
    CHECK(season.told("standard-absent").size() == 1);
    CHECK(season.verdicts("A") == "review");
}

TEST_CASE("what is told of an absent standard is what the session lacks") {
    const auto told = [](const std::vector<std::string>& rows) {
        return read(rows, R"({"standard": {"required": "always"}})").words("standard-absent");
    };
    const std::string without_peak = standard(""), late = standard("1143.6", "09:00:00");
    CHECK(told({without_peak, kSoy}).ends_with("has no `peak`"));
    CHECK(told({kSoy, late}).starts_with("no wavelength standard before the first sample"));
    CHECK(told({without_peak, kSoy, late})
              .starts_with("no wavelength standard with a `peak` before the first sample"));
}

TEST_CASE("the standard may stand in another export of the same instrument, not in another instrument's") {
    const auto told = [](const std::string& instrument) {
        return Judged({{{"a.csv", session({standard("1143.6")}, "2026-10-05", instrument)},
                        {"b.csv", session({kSoy})}}})
            .told("standard-absent");
    };
    CHECK(told("Bench 1").empty());
    CHECK(told("Bench 2").size() == 1);
}

TEST_CASE("standards that nobody exports are said once, and where never required only drift is told") {
    CHECK(read({kSoy}).told("standard-absent").size() == 1);
    CHECK(read({kSoy}).told("standard-absent").front().starts_with("note"));
    const std::string never = R"({"standard": {"required": "never"}})",
                      always = R"({"standard": {"required": "always"}})";
    CHECK(read({kSoy}, never).told("standard-absent").empty());
    CHECK(read({standard("1145"), kSoy}, never).told("standard-off").size() == 1);
    CHECK(read({kSoy}, always).told("standard-absent").front().starts_with("review"));
}

TEST_CASE("severities of the map hold for both tiers of the standard") {
    const Judged season = read({standard("1145"), kSoy}, R"({"severity": {"standard-off": "note"}})");
    CHECK(season.told("standard-off").front().starts_with("note"));
    CHECK(season.verdicts("A") == "use");
}

TEST_CASE("a control beyond its action limit marks its constituent read since the last good control") {
    const std::string rules =
        R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})";
    const auto control = [](const std::string& at, const std::string& protein) {
        return at + ",Soybean whole,CTRL,,6," + protein;
    };
    const Judged season = read({control("08:00:00", "40.0"), "08:10:00,Soybean whole,A,,6,37",
                                control("09:00:00", "40.1"), "09:10:00,Soybean whole,B,,6,37",
                                control("10:00:00", "41.0"), "10:10:00,Soybean whole,C,,6,37"},
                               rules);
    REQUIRE(season.told("control-action").size() == 1);
    CHECK(season.mark("A", c::protein) == Mark::use);
    CHECK(season.mark("B", c::protein) == Mark::review);
    CHECK(season.mark("C", c::protein) == Mark::review);
    CHECK(season.mark("B", c::moisture) == Mark::use);
    CHECK(season.verdicts("CTRL").find("review") == std::string::npos);
}

TEST_CASE("the last good control counts under whatever calibration and as whatever sample it was read") {
    const std::string rules =
        R"({"controls": {"CTRL*": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})";
    // Rows `08:00,A,C1,37`: time, sample, calibration, protein.
    const auto read_days = [&](const std::vector<std::string>& rows) {
        std::string text = "Date,Sample ID,Calibration,Protein (% as is),Moisture (%),Instrument,Analysis\n";
        for (const std::string& row : rows)
            text += "2026-10-05 " + row + ",6,Bench 1,Soybean whole\n";
        return Judged({{{"a.csv", text}}, rules});
    };
    const auto marks = [](const Judged& season) {
        std::string text;
        for (const char* sample : {"A", "B", "C", "D"})
            text += season.mark(sample, c::protein) == Mark::review ? sample : "";
        return text;
    };
    // The first control of a new calibration is bad, its next one good.
    CHECK(marks(read_days({"08:00:00,CTRL,C1,40", "08:10:00,A,C1,37", "09:00:00,CTRL,C1,40.1",
                           "09:10:00,B,C1,37", "10:00:00,CTRL,C2,41", "10:10:00,C,C2,37",
                           "11:00:00,CTRL,C2,40", "11:10:00,D,C2,37"})) == "BC");
    // The last control of the old calibration is bad, the first of the new one good.
    CHECK(
        marks(read_days({"08:00:00,CTRL,C1,40", "08:10:00,A,C1,37", "09:00:00,CTRL,C1,41", "09:10:00,B,C1,37",
                         "10:00:00,CTRL,C2,40", "10:10:00,C,C2,37", "10:20:00,D,C2,37"})) == "AB");
    // A new control seed, bad when it is first read.
    CHECK(marks(read_days({"08:00:00,CTRL,C1,40", "08:10:00,A,C1,37", "09:00:00,CTRL,C1,40.1",
                           "09:10:00,B,C1,37", "10:00:00,CTRL-2,C1,41", "10:10:00,C,C1,37",
                           "11:00:00,CTRL,C1,40", "11:10:00,D,C1,37"})) == "BC");
    // Two control seeds read at once: the good one is not the last good one of the other.
    CHECK(marks(read_days({"08:00:00,CTRL,C1,40", "08:10:00,A,C1,37", "09:00:00,CTRL,C1,40",
                           "09:00:00,CTRL-2,C1,41", "09:10:00,B,C1,37", "10:00:00,CTRL,C1,40",
                           "10:10:00,C,C1,37", "10:20:00,D,C1,37"})) == "AB");
}

TEST_CASE("a control's targets are those of the first entry that matches, even for what it does not name") {
    const auto rules = [](const std::string& first) {
        return R"({"controls": {)" + first +
               R"("CTRL-*": {"protein": {"target": 45, "sd": 0.2, "basis": "as-is"}}}})";
    };
    const std::vector<std::string> rows = {"08:00:00,Soybean whole,CTRL-1,,6,40",
                                           "08:10:00,Soybean whole,A,,6,37"};
    CHECK(read(rows, rules("")).told("control-action").size() == 1);
    const Judged season = read(rows, rules(R"("CTRL-1": {"moisture": {"target": 6, "sd": 0.1}}, )"));
    CHECK(season.told("control-action").empty());
    CHECK(season.mark("A", c::protein) == Mark::use);
}

TEST_CASE("a control between warning and action limit is a note and marks nothing") {
    const std::string rules =
        R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})";
    const Judged season =
        read({"08:00:00,Soybean whole,CTRL,,6,40.45", "08:10:00,Soybean whole,A,,6,37"}, rules);
    CHECK(season.told("control-warning").size() == 1);
    CHECK(season.told("control-action").empty());
    CHECK(season.mark("A", c::protein) == Mark::use);
}

TEST_CASE("a kept control signal marks nothing, and is settled by its code only") {
    const auto told = [](const std::string& decision) {
        const Judged season = Judged(
            {{{"a.csv", session({"08:00:00,Soybean whole,CTRL,,6,42", "08:10:00,Soybean whole,A,,6,37"})}},
             R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})",
             {},
             "sample,code,decision,reason,initials\nCTRL," + decision + ",keep,known,AB\n"});
        return std::pair(season.told("control-action").front().ends_with("settled"),
                         season.mark("A", c::protein));
    };
    CHECK(told("control-action") == std::pair(true, Mark::use));
    CHECK(told("") == std::pair(false, Mark::review));
}

TEST_CASE("a silenced control signal marks nothing, an excluding one excludes") {
    const auto mark = [](const std::string& level) {
        const std::string rules =
            R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}},
                                      "severity": {"control-action": ")" +
            level + R"("}})";
        return read({"08:00:00,Soybean whole,CTRL,,6,42", "08:10:00,Soybean whole,A,,6,37"}, rules)
            .mark("A", c::protein);
    };
    CHECK(mark("note") == Mark::use);
    CHECK(mark("review") == Mark::review);
    CHECK(mark("exclude") == Mark::exclude);
}

TEST_CASE("false actions stay within one a month of daily controls however many constituents are watched",
          "[simulation]") {
    // 120 months of a control in control, with every kind of chart in use.
    for (const std::string charts :
         {R"({})", R"({"western_electric": true, "ewma": true})", R"({"cusum_k": 0.25})"})
        for (const bool many : {false, true}) {
            const std::string target = R"({"target": 30, "sd": 0.2, "basis": "as-is"})";
            const std::vector<std::string> names =
                many ? std::vector<std::string>{"protein", "oil",    "ash",   "fiber",    "starch",
                                                "sucrose", "lysine", "oleic", "linoleic", "linolenic"}
                     : std::vector<std::string>{"protein", "oil"};
            std::string heading = "Instrument,Date,Analysis,Sample ID", targets;
            for (const std::string& name : names) {
                heading += "," + name + " (% as is)";
                targets += (targets.empty() ? "\"" : ", \"") + name + "\": " + target;
            }
            const std::string rules =
                R"({"controls": {"CTRL": {)" + targets + R"(}}, "charts": )" + charts + "}";
            std::size_t actions = 0, months = 120;
            std::vector<double> z(30 * names.size());
            for (std::size_t month = 0; month < months; ++month) {
                stats::random_normals(month + 1, many, z);
                std::string text = heading + "\n";
                for (std::size_t day = 0; day < 30; ++day) {
                    text += fmt::format("Bench 1,2026-10-{:02} 08:00:00,Soybean whole,CTRL", day + 1);
                    for (std::size_t c = 0; c < names.size(); ++c)
                        text += fmt::format(",{:.4f}", 30 + 0.2 * z[day * names.size() + c]);
                    text += "\n";
                }
                actions += Judged({{{"a.csv", text}}, rules}).told("control-action").size();
            }
            INFO(charts << ", " << names.size() << " constituents: " << actions << " in " << months
                        << " months");
            CHECK(actions <= months);
            CHECK(actions > months / 12); // and the limits are no wider than they need be
        }
}

TEST_CASE("run rules warn and do not ask for action") {
    std::vector<std::string> rows;
    for (int i = 0; i < 9; ++i)
        rows.push_back(fmt::format("{:02}:00:00,Soybean whole,CTRL,,6,40.05", 8 + i));
    const std::string rules =
        R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}},
                                  "charts": {"western_electric": true}})";
    CHECK(read(rows, rules).told("control-warning").size() == 2);
    CHECK(read(rows, rules).told("control-action").empty());
}

TEST_CASE(
    "a decision about one finding of a session leaves the marks of another finding at the same reading") {
    // The control that begins each session is bad in the second one, in which all samples are off as well.
    std::string text = "Instrument,Date,Analysis,Sample ID,Peak (nm),Moisture (%),Protein (% as is)\n";
    for (const int day : {5, 6, 7, 8}) {
        const double off = day == 8 ? 1.0 : 0.0;
        text += fmt::format("Bench 1,2026-10-{:02} 08:00:00,Soybean whole,CTRL,,6,{:.2f}\n", day, 37.5 + off);
        for (int sample = 0; sample < 14; ++sample)
            text += fmt::format("Bench 1,2026-10-{:02} 08:{:02}:00,Soybean whole,S{:02},,6,{:.2f}\n", day,
                                sample + 1, sample, 36 + 0.2 * sample + 0.03 * ((sample + day) % 3) + off);
    }
    const auto season = [&](const std::string& decisions) {
        return Judged(
            {{{"a.csv", text}},
             R"({"controls": {"CTRL": {"protein": {"target": 37.5, "sd": 0.2, "basis": "as-is"}}}})",
             {},
             decisions});
    };
    const Judged open = season({});
    REQUIRE(open.told("session-offset").size() == 1);
    REQUIRE(open.told("control-action").size() == 1);
    const Judged kept = season("time,constituent,code,decision,reason,initials\n"
                               "2026-10-08T08:00:00,protein,session-offset,keep,known,AB\n");
    CHECK(kept.told("session-offset").front().ends_with("settled"));
    CHECK_FALSE(kept.told("control-action").front().ends_with("settled"));
    std::size_t marked = 0;
    for (RowId row = 0; row < kept.batch().kind.size(); ++row)
        marked += kept.judgement().mark(row, c::protein) == Mark::review ? 1U : 0U;
    CHECK(marked == 28); // since the last good control, of 7 October
}

TEST_CASE("while a shift that a sum told of lasts no control counts as good") {
    std::string text = "Instrument,Date,Analysis,Sample ID,Peak (nm),Moisture (%),Protein (% as is)\n";
    for (int day = 1; day <= 20; ++day) {
        const double off = day >= 7 && day <= 15 ? 0.25 : 0.0; // 2.5 SD: each control by itself only warns
        text += fmt::format("Bench 1,2026-10-{:02} 08:00:00,Soybean whole,CTRL,,6,{:.2f}\n", day, 40 + off);
        text +=
            fmt::format("Bench 1,2026-10-{:02} 09:00:00,Soybean whole,S{:02},,6,37.{:02}\n", day, day, day);
    }
    const Judged season(
        {{{"a.csv", text}},
         R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.1, "basis": "as-is"}}}})"});
    REQUIRE(season.told("control-action").size() == 1);
    for (const char* marked : {"S10", "S12", "S14"})
        CHECK(season.mark(marked, c::protein) == Mark::review);
    for (const char* good : {"S05", "S16", "S19"})
        CHECK(season.mark(good, c::protein) == Mark::use);
}

TEST_CASE("a control of a crop or in other letters is that of the material, an unknown material is refused") {
    const auto told = [](const std::string& material) {
        return read({"08:00:00,Soybean whole,CTRL,,6,42", kSoy},
                    R"({"controls": {"CTRL": {"material": ")" + material +
                        R"(", "protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})")
            .told("control-action")
            .size();
    };
    CHECK(told("soybean-whole") == 1);
    CHECK(told("Soybean-Whole") == 1);
    CHECK(told("soybean") == 1);
    CHECK(told("peanut") == 0);
}

TEST_CASE("dropping a control drops nothing, and is told") {
    const Judged season =
        Judged({{{"a.csv", session({"08:00:00,Soybean whole,CTRL,,6,42", "08:10:00,Soybean whole,A,,6,37"})}},
                R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "as-is"}}}})",
                {},
                "sample,decision,reason,initials\nCTRL,drop,spilled,AB\n"});
    CHECK(season.told("decision-unmatched").size() == 1);
    CHECK(season.words("decision-unmatched").ends_with("`keep` settles what these tell"));
    CHECK(season.mark("A", c::protein) == Mark::review);
}

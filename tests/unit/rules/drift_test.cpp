// Drift that no control shows: sessions, instruments, calibrations, moisture.
#include "unit/rules/judged.hpp"

#include <cmath>
#include <thresh/rules/drift.hpp>
#include <thresh/stats/random.hpp>

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {

// A season as text: sessions of soybean readings, one a day at 08:00, a reading a minute.
class Season {
  public:
    explicit Season(std::uint64_t seed) : z_(40000) { stats::random_normals(seed, 0, z_); }

    // One reading of a sample whose dry protein and oil are given; noise in SDs of the built-in
    // repeatability.
    void read(int day, const std::string& instrument, const std::string& sample, double protein, double oil,
              double moisture, const std::string& calibration = "SW-1") {
        const double m = moisture + 0.07 * next(), share = (100 - m) / 100;
        // Drawn one by one: compilers differ in which argument of a call they work out first.
        const double read_oil = (oil + 0.14 * next()) * share;
        const double read_protein = (protein + 0.18 * next()) * share;
        const std::size_t minute = minutes_[instrument + std::to_string(day)]++;
        rows_ += fmt::format("{},2026-10-{:02} {:02}:{:02}:00,Soybean whole,{},{},{:.2f},{:.2f},{:.2f}\n",
                             instrument, day, 8 + minute / 60, minute % 60, calibration, sample, m,
                             read_protein, read_oil);
    }
    double next() { return z_.at(at_++); }
    Judged judged(const std::string& list = {}, const std::string& rules = "{}") const {
        return Judged({{{"a.csv", "Instrument,Date,Analysis,Calibration,Sample ID,Moisture (%),Protein (% as "
                                  "is),Oil (% as is)\n" +
                                      rows_}},
                       rules,
                       list});
    }

  private:
    std::vector<double> z_;
    std::size_t at_ = 0;
    std::map<std::string, std::size_t> minutes_;
    std::string rows_;
};

// Six sessions, each reading the samples of one of three sites (whose levels differ by up to 4 points), two
// packs each, and `links` samples of the session before once more.
Season sites(std::uint64_t seed, int links, const std::vector<double>& offsets = {}) {
    Season season(seed);
    std::vector<std::pair<double, double>> before;
    for (int session = 0; session < 6; ++session) {
        const double site = 2.0 * (session % 3),
                     off = offsets.empty() ? 0 : offsets[static_cast<std::size_t>(session)];
        std::vector<std::pair<double, double>> truth;
        for (int sample = 0; sample < 20; ++sample) {
            const double oil = 21 - site / 2 + 0.8 * season.next();
            truth.emplace_back(37 + site + 1.2 * season.next(), oil);
            for (int pack = 0; pack < 2; ++pack)
                season.read(session + 1, "Bench 1", fmt::format("S{}-{:02}", session, sample),
                            truth.back().first + off, truth.back().second, 6.4);
        }
        for (int link = 0; session > 0 && link < links; ++link)
            season.read(session + 1, "Bench 1", fmt::format("S{}-{:02}", session - 1, link),
                        before[static_cast<std::size_t>(link)].first + off,
                        before[static_cast<std::size_t>(link)].second, 6.4);
        before = std::move(truth);
    }
    return season;
}

} // namespace

TEST_CASE("clean seasons with sites confounded with sessions report no offset", "[simulation]") {
    int seasons_with_an_offset = 0;
    for (std::uint64_t seed = 1; seed <= 100; ++seed)
        seasons_with_an_offset += !sites(seed, 10).judged().told("session-offset").empty();
    CHECK(seasons_with_an_offset <= 5);
    CHECK(seasons_with_an_offset <= 3); // 1 % of seasons are promised
}

TEST_CASE("sites that no sample links to each other are not estimable, however far apart they lie") {
    const Judged season = sites(1, 0).judged();
    CHECK(season.told("session-offset").empty());
    const auto drift = rules::find_drift(season.batch(), season.ruleset(), season.judgement(), true);
    CHECK(drift.sessions.size() == 12);
    for (const auto& offset : drift.sessions) {
        CHECK_FALSE(offset.found.known);
        CHECK(offset.found.reason == "shares no sample with another session");
    }
}

TEST_CASE("an offset of 0.5 protein in one session is found when 10 samples link it") {
    int found = 0, elsewhere = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const auto told = sites(seed, 10, {0, 0, 0, 0.5, 0, 0}).judged().told("session-offset");
        for (const std::string& one : told) {
            const bool right = one == "review Bench 1@2026-10-04T08:00:protein";
            found += right;
            elsewhere += !right;
        }
    }
    CHECK(found >= 38);
    CHECK(elsewhere <= 1);
}

TEST_CASE("the sessions told are those that are off when all are looked at, whichever are listed") {
    const Judged judged = sites(12, 10, {0, 0, 0.6, 0, 0, 0}).judged();
    for (const bool all : {false, true}) {
        Told shifted;
        for (const auto& offset :
             rules::find_drift(judged.batch(), judged.ruleset(), judged.judgement(), all).sessions)
            if (offset.found.shifted)
                shifted.push_back(fmt::format("review {}:{}", judged.batch().sessions[offset.session].label,
                                              judged.ruleset().constituents[offset.constituent].name));
        CHECK(judged.told("session-offset") == shifted);
        CHECK(shifted.size() == 1);
    }
}

TEST_CASE("an offset marks its constituent in the session, and supersedes no reading") {
    Season season = sites(1, 10, {0, 0, 0, 0.6, 0, 0});
    season.read(20, "Bench 1", "S3-15", 39, 19, 6.4);
    const Judged judged = season.judged();
    REQUIRE(judged.told("session-offset") == Told{"review Bench 1@2026-10-04T08:00:protein"});
    CHECK(judged.mark("S3-15", c::protein) == Mark::review);
    CHECK(judged.mark("S3-15", c::oil) == Mark::use);
    CHECK(judged.mark("S1-15", c::protein) == Mark::use);
    CHECK(judged.verdicts("S3-15") == "use use use");
    CHECK(judged.words("session-offset").find("95 % interval") != std::string::npos);
}

TEST_CASE("values that a control excluded tell no offset of their session") {
    Season season(7);
    std::vector<std::pair<double, double>> truth;
    for (int sample = 0; sample < 12; ++sample) {
        const double oil = 20 + season.next();
        truth.emplace_back(38 + season.next(), oil);
    }
    // The last session is off: were there a clean one behind it, its readings would be superseded.
    for (int day = 1; day <= 4; ++day) {
        const double off = day == 4 ? 1.2 : 0;
        season.read(day, "Bench 1", "CTRL", 40 + off, 20, 6.4);
        for (std::size_t sample = 0; sample < truth.size(); ++sample)
            season.read(day, "Bench 1", fmt::format("S-{:02}", sample), truth[sample].first + off,
                        truth[sample].second, 6.4);
        if (day < 4)
            season.read(day, "Bench 1", "CTRL", 40, 20, 6.4);
    }
    const auto offsets = [&](const std::string& level) {
        return season
            .judged({}, R"({"controls": {"CTRL": {"protein": {"target": 40, "sd": 0.2, "basis": "dry"}}},
                            "severity": {"control-action": ")" +
                            level + R"("}})")
            .told("session-offset")
            .size();
    };
    CHECK(offsets("review") == 1);
    CHECK(offsets("exclude") == 0);
}

TEST_CASE("a seed that dried between sessions links none of them") {
    Season season(5);
    for (int sample = 0; sample < 12; ++sample) {
        season.read(1, "Bench 1", fmt::format("A-{}", sample), 38, 20, 7.4);
        season.read(2, "Bench 1", fmt::format("A-{}", sample), 39, 20, 5.9);
    }
    const Judged judged = season.judged();
    CHECK(judged.told("session-offset").empty());
    CHECK(judged.told("moisture-dependence") == Told{"review a.csv:protein"});
    CHECK(judged.words("moisture-dependence").find("falls by 0.6") != std::string::npos);
}

TEST_CASE("seed whose dry values do not follow its moisture shows no dependence") {
    int told = 0;
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
        Season season(seed);
        for (int sample = 0; sample < 12; ++sample) {
            season.read(1, "Bench 1", fmt::format("A-{}", sample), 38, 20, 7.4);
            season.read(2, "Bench 1", fmt::format("A-{}", sample), 38, 20, 5.9);
        }
        told += !season.judged().told("moisture-dependence").empty();
    }
    CHECK(told <= 2);
}

TEST_CASE("two instruments that read the same samples differently are told, once for each constituent") {
    const auto told = [](double difference, int samples) {
        Season season(9);
        for (int sample = 0; sample < samples; ++sample)
            for (const bool second : {false, true})
                season.read(1, second ? "West" : "East", fmt::format("A-{}", sample), 38 + sample % 4,
                            20 + (second ? difference : 0), 6.4);
        return season.judged().told("instruments-differ");
    };
    CHECK(told(0.9, 10) == Told{"review a.csv:oil"});
    CHECK(told(0, 10).empty());
    CHECK(told(0.9, 4).empty()); // too few samples
}

TEST_CASE("the difference of two instruments has the mean and interval of a paired t test") {
    std::string text = "Instrument,Date,Analysis,Sample ID,Moisture (%),Oil (% DM)\n";
    for (int sample = 0; sample < 5; ++sample) // West reads 0.5 to 0.9 more
        for (const bool west : {false, true})
            text += fmt::format("{},2026-10-05 08:{:02}:00,Soybean whole,A-{},6.4,{:.1f}\n",
                                west ? "West" : "East", 5 * sample, sample,
                                20 + 0.3 * sample + (west ? 0.5 + 0.1 * sample : 0));
    const Judged season({{{"a.csv", text}}});
    const auto found = rules::find_drift(season.batch(), season.ruleset(), season.judgement()).instruments;
    REQUIRE(found.size() == 1);
    CHECK(found[0].constituent == c::oil);
    CHECK(found[0].samples == 5);
    // Mean 0.7, SD 0.158114, SE 0.070711; Student's t of 97.5 % at 4 degrees of freedom is 2.776 in any
    // table of it.
    CHECK(std::abs(found[0].difference - 0.7) < 1e-9);
    CHECK(std::abs(found[0].low - (0.7 - 2.7764 * 0.0707107)) < 1e-5);
    CHECK(std::abs(found[0].high - (0.7 + 2.7764 * 0.0707107)) < 1e-5);
    CHECK(found[0].p > 0.0005);
    CHECK(found[0].p < 0.001); // t = 9.9: beyond the table's 8.610 for 0.1 %
    CHECK(found[0].differ);
}

TEST_CASE("a trial whose plots are split over instruments that differ is warned of") {
    const auto told = [](bool split) {
        Season season(9);
        std::string list = "sample,line,trial,rep,plot\n";
        for (int sample = 0; sample < 8; ++sample)
            for (const char* on : {"East", "West"})
                season.read(1, on, fmt::format("L-{}", sample), 38, 20 + (*on == 'W' ? 0.9 : 0), 6.4);
        for (int plot = 0; plot < 8; ++plot) {
            list += fmt::format("P-{},V{},T1,{},{}\n", plot, plot % 4, plot / 4, plot);
            season.read(1, split && plot >= 4 ? "West" : "East", fmt::format("P-{}", plot), 38, 20, 6.4);
        }
        for (int sample = 0; sample < 8; ++sample)
            list += fmt::format("L-{},X{},T2,1,\n", sample, sample);
        return season.judged(list).told("instruments-differ").size();
    };
    CHECK(told(false) == 1);
    CHECK(told(true) == 2);
}

TEST_CASE("a trial read under two calibrations is told once, at the smaller part") {
    Season season(3);
    std::string list = "sample,line,trial\n";
    for (int sample = 0; sample < 10; ++sample) {
        list += fmt::format("A-{},V{},{}\n", sample, sample, sample < 8 ? "T1" : "T2");
        season.read(1, "East", fmt::format("A-{}", sample), 38, 20, 6.4,
                    sample == 6 || sample == 7 ? "SW-2" : "SW-1");
    }
    const Judged judged = season.judged(list);
    REQUIRE(judged.told("calibration-mixed").size() == 1);
    CHECK(judged.words("calibration-mixed") ==
          "trial `T1`, soybean-whole: 6 readings under calibration `SW-1`, 2 under `SW-2`");
    CHECK(judged.verdicts("A-6") == "use");
}

TEST_CASE("a control without target and with few readings is said to be not judged") {
    Season season(3);
    season.read(1, "Bench 1", "CTRL-NEW", 40, 20, 6.4);
    season.read(1, "Bench 1", "A-1", 38, 20, 6.4);
    const Judged judged = season.judged({}, R"({"controls": {"CTRL-NEW": {}}})");
    CHECK(judged.told("control-unjudged") == Told{"note Bench 1@2026-10-01T08:00"});
    CHECK(
        judged.words("control-unjudged") ==
        "control `CTRL-NEW` has no target, and only 1 of 20 readings to estimate one from: it is not judged");
    const Judged targeted = season.judged(
        {}, R"({"controls": {"CTRL-NEW": {"protein": {"target": 40, "sd": 0.2, "basis": "dry"}}}})");
    CHECK(targeted.told("control-unjudged").empty());
    CHECK(season.judged({}, R"({"controls": {"CTRL-NEW": {"protein": {"target": 40, "basis": "dry"}}}})")
              .words("control-unjudged") == "control `CTRL-NEW` has a target but no `sd`, and only 1 of 20 "
                                            "readings to estimate one from: it is not judged");
}

TEST_CASE("a control whose readings are all equal is said to be not judged for that") {
    std::string rows = "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n";
    for (int i = 0; i < 21; ++i)
        rows += fmt::format("Bench 1,2026-10-01 08:{:02}:00,Soybean whole,CTRL-NEW,6.00,40.00\n", i);
    CHECK(Judged({{{"a.csv", rows}}, R"({"controls": {"CTRL-NEW": {}}})"}).words("control-unjudged") ==
          "control `CTRL-NEW` has no target, and its 21 readings are equal, which tells no SD: it is not "
          "judged");
}

TEST_CASE("a control that has no chart links sessions as any sample does") {
    Season season(3);
    for (int day = 1; day <= 8; ++day)
        for (const char* control : {"CTRL-A", "CTRL-B", "CTRL-C"})
            season.read(day, "Bench 1", control, day == 5 ? 40.9 : 40, 20, 6.4);
    for (int day = 1; day <= 8; ++day)
        season.read(day, "Bench 1", fmt::format("A-{}", day), 38, 20, 6.4);
    const Judged judged = season.judged({}, R"({"controls": {"CTRL-*": {}}})");
    CHECK(judged.told("session-offset") == Told{"review Bench 1@2026-10-05T08:00:protein"});
}

TEST_CASE("precision within and between sessions is that which the seed was read with") {
    Season season(11);
    for (int day = 1; day <= 20; ++day) {
        const double between = 0.3 * season.next();
        for (int sample = 0; sample < 15; ++sample)
            for (int pack = 0; pack < 2; ++pack)
                season.read(day, "Bench 1", fmt::format("A-{}", sample), 38 + sample % 5 + between, 20, 6.4);
    }
    const Judged judged = season.judged();
    for (const auto& found : rules::precision_found(judged.batch(), judged.ruleset(), judged.judgement())) {
        if (found.constituent == c::protein) {
            CHECK(*found.repeatability == Approx(0.18).epsilon(0.15));
            CHECK(*found.intermediate == Approx(std::sqrt(0.18 * 0.18 + 0.09)).epsilon(0.35));
        }
        if (found.constituent == c::oil)
            CHECK(*found.intermediate == Approx(0.14).epsilon(0.15));
    }
}

TEST_CASE("a sample read on two instruments counts once among those that a precision rests on") {
    Season season(5);
    for (int day = 1; day <= 2; ++day)
        for (const char* instrument : {"Bench 1", "Bench 2"})
            for (int sample = 0; sample < 3; ++sample)
                season.read(day, instrument, fmt::format("A-{}", sample), 38 + sample, 20, 6.4);
    const Judged judged = season.judged();
    const auto found = rules::precision_found(judged.batch(), judged.ruleset(), judged.judgement());
    REQUIRE_FALSE(found.empty());
    for (const auto& one : found)
        CHECK(one.between_samples == 3);
}

TEST_CASE(
    "an offset between sessions of one instrument is found whatever the moisture of the seed on another") {
    for (const double elsewhere : {6.0, 7.0}) {
        Season season(31);
        for (int sample = 0; sample < 12; ++sample) {
            const double protein = 38 + 0.3 * sample, oil = 20 + 0.1 * sample;
            for (int day = 1; day <= 5; ++day)
                season.read(day, "Bench 1", fmt::format("S{}", sample), protein, oil, elsewhere);
            season.read(6, "Bench 2", fmt::format("S{}", sample), protein, oil, 7.0);
            season.read(7, "Bench 2", fmt::format("S{}", sample), protein + 0.8, oil, 7.0);
        }
        const Judged judged = season.judged();
        CHECK(judged.told("session-offset").size() >= 1);
        for (const auto& one : rules::precision_found(judged.batch(), judged.ruleset(), judged.judgement()))
            if (one.constituent == c::protein) {
                CHECK(one.between_samples == 12);
            }
    }
}

TEST_CASE("precision is of the share that results have, never of two shares together") {
    const std::string rows = "{0},2026-10-0{1} 08:00:00,Soybean whole,A,6.0,{2}\n{0},2026-10-0{1} "
                             "08:01:00,Soybean whole,A,6.0,{3}\n";
    const std::string head = "Instrument,Date,Analysis,Sample ID,Moisture (%),Oleic ";
    const std::string of_oil = head + "(% of oil)\n" +
                               fmt::format(fmt::runtime(rows), "Bench 1", 5, "20.0", "20.4") +
                               fmt::format(fmt::runtime(rows), "Bench 1", 6, "20.2", "20.2");
    const auto oleic = [](const Judged& judged) {
        const auto all = rules::precision_found(judged.batch(), judged.ruleset(), judged.judgement());
        const auto at =
            std::find_if(all.begin(), all.end(), [](const auto& one) { return one.constituent == c::oleic; });
        REQUIRE(at != all.end());
        return *at;
    };
    const std::string of_sample =
        head + "(% of sample as-is)\n" + fmt::format(fmt::runtime(rows), "Bench 1", 7, "3.7", "3.8");
    const auto alone = oleic(Judged({{{"a.csv", of_oil}}}));
    const auto both = oleic(Judged({{{"a.csv", of_oil}, {"b.csv", of_sample}}}));
    CHECK(*both.intermediate == Approx(*alone.intermediate));
    CHECK(*both.repeatability == Approx(*alone.repeatability));
}

TEST_CASE("values of another share than in results differ from none: not as repeats, not as sessions or "
          "instruments") {
    const auto told = [](const std::string& second_heading, const std::string& instrument, double factor) {
        std::string first = "Instrument,Date,Analysis,Sample ID,Moisture (%),Oleic (% of oil)\n";
        std::string second = "Instrument,Date,Analysis,Sample ID,Moisture (%)," + second_heading + "\n";
        for (int sample = 0; sample < 24; ++sample) {
            const double oleic = 20 + 0.3 * (sample % 7);
            first += fmt::format("Bench 1,2026-10-05 08:{:02}:00,Soybean whole,S{},6.0,{:.1f}\n", 2 * sample,
                                 sample, oleic);
            // Within the same session of the same instrument, or on another one.
            second += fmt::format("{},2026-10-05 08:{:02}:00,Soybean whole,S{},6.0,{:.1f}\n", instrument,
                                  2 * sample + 1, sample, oleic * factor + 0.1 * (sample % 2));
        }
        const Judged judged({{{"a.csv", first}, {"b.csv", second}},
                             R"({ "materials": { "soybean-whole": { "key": ["oleic"],
                                  "repeatability_sd": { "oleic": 0.3 } } } })"});
        std::vector<std::string> all;
        for (const char* code :
             {"repeats-disagree", "session-offset", "instruments-differ", "outlier-in-line"})
            for (const std::string& one : judged.told(code))
                all.push_back(code + (" " + one));
        return all;
    };
    for (const char* instrument : {"Bench 1", "Bench 2"}) {
        CHECK(told("Oleic (% of sample as-is)", instrument, 0.2) == std::vector<std::string>{});
        CHECK_FALSE(told("Oleic (% of oil)", instrument, 0.2).empty()); // the same numbers, of the same share
    }
}

TEST_CASE("of thousands of samples that two sessions share enough are compared, and rare links all stay") {
    constexpr std::size_t kShared = 12000, kRare = 10;
    std::vector<double> z(2 * (2 * kShared + kRare));
    stats::random_normals(7, 0, z);
    std::size_t at = 0;
    std::string rows = "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% dry),Oil (% dry)\n";
    const auto read = [&](int day, std::size_t sample, double offset) {
        const std::size_t second = sample * 5;
        rows += fmt::format("Bench 1,2026-10-{:02} {:02}:{:02}:{:02},Soybean whole,S{},6.50,{:.2f},{:.2f}\n",
                            day, second / 3600, second / 60 % 60, second % 60, sample,
                            38 + static_cast<double>(sample % 7) + offset + 0.18 * z[at],
                            20 + static_cast<double>(sample % 5) + 0.14 * z[at + 1]);
        at += 2;
    };
    for (std::size_t sample = 0; sample < kShared; ++sample)
        read(1, sample, 0);
    for (std::size_t sample = 0; sample < kShared; ++sample)
        read(3, sample, 0.5);
    for (std::size_t sample = 0; sample < kRare; ++sample)
        read(5, sample * 1200, 0);
    const Judged season({{{"a.csv", rows}}, "{}"});
    const auto drift = rules::find_drift(season.batch(), season.ruleset(), season.judgement(), true);
    REQUIRE(season.batch().sessions.size() == 3);
    std::size_t told = 0;
    for (const auto& offset : drift.sessions) {
        if (offset.constituent != c::protein)
            continue;
        ++told;
        // The second session is off and taken out: what is left of the first is its rare links.
        const bool rare = offset.session == 2;
        if (offset.session != 1)
            CHECK(offset.found.links == kRare);
        else
            CHECK(std::abs(static_cast<double>(offset.found.links) - rules::kEnoughSamples) <
                  0.1 * rules::kEnoughSamples);
        CHECK(offset.readings == (rare ? kRare : kShared));
        if (offset.session == 1)
            CHECK(std::abs(offset.found.offset - 0.5) < 0.02);
    }
    CHECK(told == 3);
}

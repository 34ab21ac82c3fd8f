#include "batch/case_matcher.hpp"
#include "batch/id_pattern.hpp"
#include "unit/support/readings_builder.hpp"

#include <catch2/catch.hpp>

using namespace thresh;
using namespace thresh::batch;

namespace {

// What an ID matches when it is the first one.
std::optional<PlaceTexts> match_alone(const IdPattern& pattern, std::string_view id) {
    IdMatcher matcher(pattern);
    const PlaceTexts* const texts = matcher.match(id);
    return texts ? std::optional(*texts) : std::nullopt;
}

} // namespace

TEST_CASE("a pattern covers the whole text, case ignored") {
    CHECK(matches("*soy*whole*", "Soybean WHOLE v3"));
    CHECK_FALSE(matches("soy", "soybean"));
    CHECK(matches("s?y", "söy"));
    CHECK_FALSE(matches("s?y", "sy"));
    CHECK(matches("*", ""));
    CHECK_FALSE(matches("?", ""));
    CHECK(matches("a*b*c", "a-b-b-c"));
    CHECK_FALSE(matches("a*b*c", "a-b-b-c-d"));
    CHECK(matches("**a", "bca"));
}

TEST_CASE("time bounds are inclusive to their own precision") {
    const TimeWindow window{time_from_iso("2026-08-03"), time_from_iso("2026-08-04")};
    CHECK(window.admits(time_from_iso("2026-08-03T00:00:00")));
    CHECK(window.admits(time_from_iso("2026-08-04T23:59:59")));
    CHECK_FALSE(window.admits(time_from_iso("2026-08-05T00:00:00")));
    CHECK_FALSE(window.admits(time_from_iso("2026-08-02T23:59:59")));
    CHECK_FALSE(window.admits(Time{}));
    const TimeWindow minute{time_from_iso("2026-08-03T07:41"), {}};
    CHECK(minute.admits(time_from_iso("2026-08-03")));
    CHECK_FALSE(minute.admits(time_from_iso("2026-08-03T07:40:59")));
    CHECK(TimeWindow{}.admits(Time{}));
}

TEST_CASE("the first condition that holds wins, also among more than 64") {
    const Readings readings = test::make_readings({{.sample = "S", .analysis = "n77"}});
    std::vector<When> cases(100);
    for (std::size_t c = 0; c < cases.size(); ++c)
        cases[c].analysis = {"n" + std::to_string(c)};
    cases[90].analysis = {"n7*"};
    CaseMatcher matcher(cases, readings);
    const RowTexts row{0, 0, kNoText, 0, kNoText, kNoText, {}};
    CHECK(matcher.first(row) == 77);
    cases[77].instrument = {"A*"}; // blank does not match
    CHECK(CaseMatcher(cases, readings).first(row) == 90);
    cases[90] = {};
    CHECK(CaseMatcher(cases, readings).first(row) == matcher.none());
}

TEST_CASE("a sample ID is cut at the characters that follow the placeholders") {
    const IdPattern pattern("{trial}-{line}-{rep}");
    const auto match = match_alone(pattern, "T1-L7-2");
    REQUIRE(match);
    CHECK((*match)[static_cast<std::size_t>(PlaceField::trial)] == "T1");
    CHECK((*match)[static_cast<std::size_t>(PlaceField::line)] == "L7");
    CHECK((*match)[static_cast<std::size_t>(PlaceField::rep)] == "2");
    CHECK((*match_alone(pattern, "T1-L7-2-b"))[static_cast<std::size_t>(PlaceField::rep)] == "2-b");
    CHECK_FALSE(match_alone(pattern, "T1-L7"));
    CHECK_FALSE(match_alone(pattern, "T1--2"));
    CHECK_FALSE(match_alone(pattern, ""));
    CHECK(pattern.has(PlaceField::rep));
    CHECK_FALSE(pattern.has(PlaceField::plot));
}

TEST_CASE("literals of a sample ID pattern must stand where they are written") {
    const IdPattern pattern("S{year}_{line}/P{plot}x");
    CHECK(match_alone(pattern, "S26_L7/P12x"));
    CHECK_FALSE(match_alone(pattern, "S26_L7/P12"));
    CHECK_FALSE(match_alone(pattern, "R26_L7/P12x"));
    CHECK_FALSE(match_alone(pattern, "S26_L7/Q12x"));
    CHECK_FALSE(match_alone(pattern, "S26_L7/P1xx")); // the placeholder holds no x
    CHECK(match_alone(IdPattern("{line}.{packet}"), "L7.3"));
    CHECK_FALSE(match_alone(IdPattern("{packet}"), "L7")); // no line in it
}

TEST_CASE("an ID is cut in the same way whatever ID came before it") {
    const std::vector<std::string> ids = {"T1-L7-2",  "T1-L7-3", "T1-L7-3-b", "T1-L7-",  "T1-L7X-3",
                                          "T1-L7",    "T1-L8-1", "T1-L8-1x",  "T1-L8-x", "T1--2",
                                          "T1-L7-22", "T2-L7-2", "",          "T1",      "T1-L7-2x",
                                          "T1-L7/2",  "T-L7/2x", "T1L72"};
    for (const std::string_view written :
         {"{trial}-{line}-{rep}", "{trial}-{line}{rep}", "{line}", "T{line}", "{trial}-{line}",
          "{line}-{rep}x", "T{trial}-L{line}-{line}", "{trial}-{packet}", "{line}--{rep}",
          "{line}-L{rep}-{plot}", "T1"}) {
        INFO(written);
        const IdPattern pattern(written);
        IdMatcher matcher(pattern);
        for (const std::string& before : ids)
            for (const std::string& id : ids) {
                matcher.match(before);
                const PlaceTexts* const texts = matcher.match(id);
                const std::optional<PlaceTexts> expected = match_alone(pattern, id);
                REQUIRE((texts != nullptr) == expected.has_value());
                if (texts)
                    REQUIRE(*texts == *expected);
            }
    }
}

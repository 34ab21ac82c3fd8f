#include <catch2/catch.hpp>

#include <thresh/core/time.hpp>

using thresh::Time;
using thresh::time_from_iso;
using thresh::to_text;

TEST_CASE("times are written with the precision they were exported with") {
    for (const char* text :
         {"2026-08-03", "2026-08-03T07:41", "2026-08-03T07:41:09", "1969-12-31T23:59:59", "2024-02-29"})
        CHECK(to_text(time_from_iso(text)) == text);
    CHECK(to_text(time_from_iso("2026-08-03 07:41")) == "2026-08-03T07:41");
}

TEST_CASE("days that never were and other spellings are no time") {
    for (const char* text : {"2026-02-29", "2026-13-01", "2026-08-03T24:00", "2026-08-03T07:60", "3.8.2026",
                             "", "2026-8-3", "2026-08-03T07:41:09Z"})
        CHECK(time_from_iso(text).missing());
}

TEST_CASE("times are ordered by time") {
    CHECK(time_from_iso("2026-08-03T07:41") < time_from_iso("2026-08-03T07:42"));
    CHECK(time_from_iso("2026-08-03") < time_from_iso("2026-08-03T00:00"));
    CHECK(Time{}.missing());
}

// A clock in a column of its own, and clocks where dates are expected.
#include "unit/intake/reading_help.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;

namespace {

// Rows `date,clock`.
std::string two_columns(const std::vector<std::string>& rows, const char* headings = "Date,Time") {
    std::string text = std::string(headings) + ",Sample,Protein (% as is)\n";
    for (const std::string& row : rows)
        text += row + ",S,38\n";
    return text;
}

std::vector<std::string> told(const Readings& r) {
    std::vector<std::string> texts;
    for (const IntakeNote& note : notes(r, "date-doubtful"))
        texts.push_back(fmt::format("{}: {}", note.line, note.message));
    return texts;
}

} // namespace

TEST_CASE("a clock that cannot be read is told with its cell, and the others are used") {
    const Readings r = read(two_columns(
        {"2026-08-03,7:41 PM", "2026-08-03,", "2026-08-03,7.44", "2026-08-03,25:10", "2026-08-03,7h45"}));
    CHECK(time(r, 0) == "2026-08-03T19:41");
    CHECK(time(r, 1) == "2026-08-03");
    CHECK(time(r, 2) == "2026-08-03");
    CHECK(told(r) == std::vector<std::string>{
                         "4: 3 of the times in `Time` cannot be read as a time of day; the first is `7.44`"});
}

TEST_CASE("a column of clocks none of which can be read is told") {
    for (const char* clock : {"0.3204", "07.41", "0741"}) {
        const Readings r = read(two_columns({"2026-08-03," + std::string(clock), "2026-08-04,"}));
        CHECK(time(r, 0) == "2026-08-03");
        REQUIRE(told(r).size() == 1);
        CHECK(told(r)[0].find(clock) != std::string::npos);
        CHECK(notes(r, "heading-repeated").empty());
    }
}

TEST_CASE("one date among clocks takes no other row its time") {
    for (const bool dates_first : {true, false}) {
        std::vector<std::string> rows;
        for (const auto* clock : {"7:41", "7:42", "2026-08-03 07:50", "7:44"})
            rows.push_back(dates_first ? fmt::format("2026-08-03,{}", clock)
                                       : fmt::format("{},2026-08-03", clock));
        const Readings r = read(two_columns(rows, dates_first ? "Date,Time" : "Time,Date"));
        CHECK(time(r, 0) == "2026-08-03T07:41");
        CHECK(time(r, 2) == "2026-08-03");
        CHECK(time(r, 3) == "2026-08-03T07:44");
        REQUIRE(told(r).size() == 1);
        CHECK(told(r)[0].starts_with("4: 1 of the times in `Time`"));
        CHECK(notes(r, "heading-repeated").empty());
    }
}

TEST_CASE("an empty column of times leaves the times to the other") {
    const Readings r = read(two_columns({",2026-08-03 07:41", ",2026-08-03 07:43"}, "Time,Date time"));
    CHECK(time(r, 0) == "2026-08-03T07:41");
    CHECK(r.blocks[0].table->time == 1);
    CHECK(told(r).empty());
}

TEST_CASE("a clock among dates is told") {
    const Readings r =
        read("Date time,Sample,Protein (% as is)\n2026-08-03 07:40,A,38\n07:41,B,38\n07:42,C,38\n");
    CHECK(time(r, 0) == "2026-08-03T07:40");
    CHECK(time(r, 1).empty());
    CHECK(told(r) ==
          std::vector<std::string>{
              "3: 2 of the times in `Date time` cannot be read for want of a date; the first is `07:41`"});
}

TEST_CASE("dates that say themselves what is what are read under any format") {
    intake::ExportOptions options;
    options.date_format = intake::DateFormat::dmy;
    const Readings r =
        read("Date,Sample,Protein (% as is)\n3/8/2026,A,38\n2026-08-04,B,38\n5-Aug-2026,C,38\n", options);
    CHECK(time(r, 0) == "2026-08-03");
    CHECK(time(r, 1) == "2026-08-04");
    CHECK(time(r, 2) == "2026-08-05");
    CHECK(told(r).empty());
}

TEST_CASE("dates written as their midnights are dates beside a clock") {
    for (const char* date : {"2026-10-05 00:00:00", "2026-10-05 00:00", "05.10.2026 00:00",
                             "5.10.2026 12:00:00 AM", "2026-10-05T00:00:00.000"}) {
        const Readings r = read(two_columns(
            {std::string(date) + ",07:41:09", std::string(date) + ",14:42:09", std::string(date) + ","}));
        CHECK(time(r, 0) == "2026-10-05T07:41:09");
        CHECK(time(r, 1) == "2026-10-05T14:42:09");
        CHECK(time(r, 2) == "2026-10-05");
        CHECK(told(r).empty());
    }
    CHECK(time(read(two_columns({"07:41,2026-10-05 00:00"}, "Time,Date")), 0) == "2026-10-05T07:41");
}

TEST_CASE("one moment that is no midnight makes all of its column moments") {
    const Readings r = read(two_columns({"2026-10-05 00:00:00,07:41:09", "2026-10-05 07:42,07:42:09"}));
    CHECK(told(r) ==
          std::vector<std::string>{"2: 1 of the times in `Date` has another time of day than `Time` says: "
                                   "2026-10-05T00:00:00 and 07:41:09; the first is used"});
    CHECK(time(r, 0) == "2026-10-05T00:00:00");
    CHECK(time(r, 1) == "2026-10-05T07:42");
    CHECK(time(read("Date,Sample,Protein (% as is)\n2026-10-05 00:00,S,38\n"), 0) == "2026-10-05T00:00");
}

TEST_CASE("moments of the day from which a program counts are clocks") {
    for (const char* zero : {"30.12.1899", "1899-12-30", "12/30/1899", "1.1.1900", "1904-01-01"}) {
        const std::string clock = std::string(zero) + " 07:41:09";
        const Readings r = read(two_columns({"05.10.2026," + clock, "05.10.2026,"}));
        CHECK(time(r, 0) == "2026-10-05T07:41:09");
        CHECK(time(r, 1) == "2026-10-05");
        CHECK(notes(r, "heading-repeated").empty());
        CHECK(time(read(two_columns({clock + ",05.10.2026"}, "Time,Date")), 0) == "2026-10-05T07:41:09");
    }
    const Readings r = read(two_columns({"05.10.2026,30.12.1899 07:41", "05.10.2026,06.10.2026 07:41"}));
    CHECK(time(r, 0) == "2026-10-05");
    CHECK(notes(r, "heading-repeated").size() == 1);
}

TEST_CASE("moments of the day in the column beside them are its clocks") {
    for (const char* date : {"2026-10-05", "05.10.2026", "5/10/2026", "5-Oct-2026"}) {
        intake::ExportOptions options;
        options.date_format = intake::DateFormat::dmy;
        const std::string day = date;
        const Readings r = read(two_columns({day + "," + day + " 07:41:09", day + ","}), options);
        CHECK(time(r, 0) == "2026-10-05T07:41:09");
        CHECK(time(r, 1) == "2026-10-05");
        CHECK(told(r).empty());
        CHECK(notes(r, "heading-repeated").empty());
    }
    // Begin and end of a reading are two moments.
    const Readings r = read(two_columns({"2026-10-05 07:41,2026-10-05 07:42"}));
    CHECK(time(r, 0) == "2026-10-05T07:41");
    CHECK(notes(r, "heading-repeated").size() == 1);
}

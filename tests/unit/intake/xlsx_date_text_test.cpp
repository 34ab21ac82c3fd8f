#include "intake/xlsx/date_text.hpp"

#include <catch2/catch.hpp>

using namespace thresh::intake::xlsx;

namespace {

constexpr NumberFormat day{.shows_date = true}, hour{.shows_time = true};
constexpr NumberFormat moment{.shows_date = true, .shows_time = true};
constexpr NumberFormat exact{.shows_date = true, .shows_time = true, .shows_parts_of_second = true};

std::string said(const std::optional<DateText>& date) {
    return date ? date->text + (date->doubtful ? "?" : "") : "none";
}
std::string in_1900(double serial, const NumberFormat& format = moment) {
    return said(date_text(serial, false, format));
}
std::string in_1904(double serial, const NumberFormat& format = moment) {
    return said(date_text(serial, true, format));
}
std::string iso(std::string_view text) {
    return said(iso_date_text(text));
}

} // namespace

TEST_CASE("serial days become calendar days") {
    CHECK(in_1900(45292, day) == "2024-01-01");
    CHECK(in_1900(45292) == "2024-01-01T00:00");
    CHECK(in_1900(45292.5, day) == "2024-01-01T12:00");
    CHECK(in_1900(45351, day) == "2024-02-29");
    CHECK(in_1900(2958465, day) == "9999-12-31");
    CHECK(in_1900(2958466, day) == "none");
}

TEST_CASE("times are rounded to what the sheet shows and carry over midnight") {
    CHECK(in_1900(45292.5743055556) == "2024-01-01T13:47");
    CHECK(in_1900(45292.574317129627) == "2024-01-01T13:47:01");
    CHECK(in_1900(45292.00001) == "2024-01-01T00:00:01");
    CHECK(in_1900(45292.00001, exact) == "2024-01-01T00:00:00.864");
    CHECK(in_1900(45291.99999999999, exact) == "2024-01-01T00:00");
    CHECK(in_1900(45291.99999999999) == "2024-01-01T00:00");
}

TEST_CASE("a time of day stands without a day") {
    CHECK(in_1900(0.5, hour) == "12:00");
    CHECK(in_1904(0.25, hour) == "06:00");
    CHECK(in_1900(45292.25, hour) == "2024-01-01T06:00");
}

TEST_CASE("days before March 1900 are doubtful and the day that never was is named") {
    CHECK(in_1900(61, day) == "1900-03-01");
    CHECK(in_1900(60, day) == "1900-02-29?");
    CHECK(in_1900(59, day) == "1900-02-28?");
    CHECK(in_1900(1, day) == "1900-01-01?");
    CHECK(in_1900(0, day) == "1899-12-31?");
    CHECK(in_1900(-1.5) == "1899-12-29T12:00?");
}

TEST_CASE("the system of 1904 counts from its own first day") {
    CHECK(in_1904(0, day) == "1904-01-01");
    CHECK(in_1904(43830, day) == "2024-01-01"); // 1,462 days less than in the system of 1900
    CHECK(in_1904(-1, day) == "1903-12-31?");
}

TEST_CASE("numbers that are no day give none") {
    CHECK(in_1900(-1e9) == "none");
    CHECK(in_1900(1e300) == "none");
    CHECK(in_1900(-800000) == "none");
}

TEST_CASE("ISO dates are checked against the calendar") {
    CHECK(iso("2024-08-05") == "2024-08-05");
    CHECK(iso("2024-08-05T09:30:00") == "2024-08-05T09:30");
    CHECK(iso("2024-08-05T09:30:15.25Z") == "2024-08-05T09:30:15.250");
    CHECK(iso("2024-08-05T09:30:00+02:00") == "2024-08-05T09:30?");
    CHECK(iso("09:30:01") == "09:30:01");
    CHECK(iso("T09:30") == "09:30");
    CHECK(iso("2024-02-30") == "none");
    CHECK(iso("2023-02-29") == "none");
    CHECK(iso("2024-08-05T24:30") == "none");
    CHECK(iso("2024-08-05T09:30 o'clock") == "none");
    CHECK(iso("yesterday") == "none");
    CHECK(iso("") == "none");
}

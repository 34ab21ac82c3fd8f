#include "intake/xlsx/number_format.hpp"

#include <catch2/catch.hpp>
#include <string>

using namespace thresh::intake::xlsx;

namespace {

// D(ate), T(ime), . (parts of a second), %, zeros as their number.
std::string shows(const NumberFormat& format) {
    std::string text;
    if (format.shows_date)
        text += "D";
    if (format.shows_time)
        text += "T";
    if (format.shows_parts_of_second)
        text += ".";
    if (format.percent)
        text += "%";
    if (format.min_digits > 0)
        text += std::to_string(format.min_digits);
    return text;
}
std::string code(std::string_view text) {
    return shows(read_format_code(text));
}

} // namespace

TEST_CASE("format codes of dates are known by their letters") {
    CHECK(code("yyyy-mm-dd") == "D");
    CHECK(code("dd.mm.yyyy hh:mm") == "DT");
    CHECK(code("DD/MM/YY") == "D");
    CHECK(code("[$-407]d. mmm yyyy;@") == "D");
    CHECK(code("[$-F800]dddd\\,\\ mmmm\\ dd\\,\\ yyyy") == "D");
    CHECK(code("mmm") == "D");
    CHECK(code("h:mm AM/PM") == "T");
    CHECK(code("[h]:mm:ss") == "T");
    CHECK(code("[mm]:ss") == "T");
    CHECK(code("mm:ss.0") == "T.");
    CHECK(code("hh:mm:ss.000") == "T.");
    CHECK(code("yyyy\"T\"hh:mm") == "DT");
}

TEST_CASE("letters in literals, colours and conditions are no dates") {
    for (const char* text : {"General", "GENERAL", "Standard", "0", "0.00", "#,##0.00", "@", "0.00 \"day\"",
                             "[Red]0.00", "[Yellow]0.0;[Red]-0.0", "0.00E+00", "[>100]0.0;0.00", "0\\ \\d",
                             "_-* #,##0.00_-", "0.0;\"missed\"", ""})
        CHECK(code(text).find_first_of("DT") == std::string::npos);
    CHECK(code("0.00\"") == "");
    CHECK(code("[") == "");
    CHECK(code("\\") == "");
}

TEST_CASE("percent signs and padding with zeros are seen") {
    CHECK(code("0.00%") == "%");
    CHECK(code("0.00\"%\"") == "");
    CHECK(code("0.00\\%") == "");
    CHECK(code("00000") == "5");
    CHECK(code("0") == "");
}

TEST_CASE("built-in numbers of dates, times and percentages are known") {
    CHECK(shows(builtin_format(0)) == "");
    CHECK(shows(builtin_format(2)) == "");
    CHECK(shows(builtin_format(9)) == "%");
    CHECK(shows(builtin_format(10)) == "%");
    CHECK(shows(builtin_format(14)) == "D");
    CHECK(shows(builtin_format(20)) == "T");
    CHECK(shows(builtin_format(22)) == "DT");
    CHECK(shows(builtin_format(46)) == "T");
    CHECK(shows(builtin_format(49)) == "");
    CHECK(shows(builtin_format(164)) == "");
}

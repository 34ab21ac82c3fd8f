#include "intake/xlsx/number_text.hpp"

#include <catch2/catch.hpp>
#include <charconv>
#include <cstdint>
#include <fmt/format.h>

using namespace thresh::intake::xlsx;

namespace {

std::string meant(std::string_view stored) {
    std::string text;
    return number_text(stored, text) ? text : "no number";
}

double to_double(const std::string& text) {
    double value = 0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
}

} // namespace

TEST_CASE("a number stored with 17 digits is the decimal that was typed") {
    CHECK(meant("36.490000000000002") == "36.49");
    CHECK(meant("11.199999999999999") == "11.2");
    CHECK(meant("0.29999999999999999") == "0.3");
    CHECK(meant("1143.5999999999999") == "1143.6");
    CHECK(meant("5.0000000000000001E-3") == "0.005");
}

TEST_CASE("rounding noise behind the 15th digit is dropped") {
    CHECK(meant("0.30000000000000004") == "0.3");
    CHECK(meant("36.666666666666664") == "36.6666666666667");
    CHECK(meant("-2.4999999999999996") == "-2.5");
}

TEST_CASE("short decimals pass unchanged and idle zeros go") {
    CHECK(meant("36.49") == "36.49");
    CHECK(meant("-0.5") == "-0.5");
    CHECK(meant("0") == "0");
    CHECK(meant("120000") == "120000");
    CHECK(meant("36.50") == "36.5");
    CHECK(meant("007") == "7");
    CHECK(meant("-0") == "0");
    CHECK(meant("-0.000") == "0");
    CHECK(meant("10.0") == "10");
    CHECK(meant(" 4.2\n") == "4.2");
    CHECK(meant("+4.2") == "4.2");
}

TEST_CASE("exponents are written out within reason") {
    CHECK(meant("1.2E3") == "1200");
    CHECK(meant("4.5292E4") == "45292");
    CHECK(meant("1E20") == "100000000000000000000");
    CHECK(meant("1E21") == "1e21");
    CHECK(meant("2.5E-9") == "0.0000000025");
    CHECK(meant("2.5E-12") == "2.5e-12");
    CHECK(meant("1.4210854715202004E-14") == "1.4210854715202e-14");
}

TEST_CASE("what is no finite decimal is no number") {
    for (const char* text : {"", " ", "-", ".", "1,5", "1.2.3", "nan", "NAN", "inf", "-INF", "1e999", "0x10",
                             "12 3", "1e", "--1"})
        CHECK(meant(text) == "no number");
}

TEST_CASE("every decimal of up to 15 digits comes back from its 17 stored digits") {
    std::uint64_t state = 20240805;
    const auto draw = [&state] { // splitmix64
        std::uint64_t z = state += 0x9E3779B97F4A7C15ULL;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    };
    int wrong = 0;
    for (int i = 0; i < 200'000; ++i) {
        const int digits = 1 + static_cast<int>(draw() % 15);
        std::string text = std::to_string(1 + draw() % 9);
        for (int d = 1; d < digits; ++d)
            text.push_back(static_cast<char>('0' + draw() % 10));
        if (text.back() == '0')
            text.back() = '7';
        if (digits > 1)
            text.insert(1 + draw() % static_cast<unsigned>(digits - 1), ".");
        if (meant(fmt::format("{:.17g}", to_double(text))) != text)
            ++wrong;
    }
    CHECK(wrong == 0);
}

TEST_CASE("a percentage is moved by two places without rounding") {
    CHECK(times_hundred("0.3649") == "36.49");
    CHECK(times_hundred("1") == "100");
    CHECK(times_hundred("0") == "0");
    CHECK(times_hundred("-0.00005") == "-0.005");
    CHECK(times_hundred("0.123456789012345") == "12.3456789012345");
}

TEST_CASE("a whole number of more than 15 digits keeps those that the file gives") {
    CHECK(meant("2026010000012341") == "2026010000012341");
    CHECK(meant("12345678901234567") == "12345678901234567");
    CHECK(meant("2.0260100000123410E+15") == "2026010000012341");
    CHECK(meant("123456789012345000") == "123456789012345000");
    CHECK(meant("2026010000012341.5") == "2026010000012341.5");
}

TEST_CASE("whole numbers of more than 15 digits have lost some") {
    CHECK_FALSE(loses_digits("123456789012345"));
    CHECK(loses_digits("1234567890123450"));
    CHECK_FALSE(loses_digits("0.1234567890123456"));
}

#include <catch2/catch.hpp>
#include <thresh/report/write.hpp>

#include <charconv>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>

using thresh::report::append_number;

namespace {

std::string text(double value, std::optional<int> digits) {
    std::string into;
    append_number(into, value, digits);
    return into;
}

// The straightforward version: exact for any size, but knows -0.
std::string by_to_chars(double value, int digits) {
    char buffer[512];
    const auto end =
        std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, digits).ptr;
    std::string written(buffer, end);
    if (written[0] == '-' && written.find_first_of("123456789") == std::string::npos)
        written.erase(0, 1);
    return written;
}

// The same numbers in every run.
struct Sequence {
    std::uint64_t state = 88172645463325252ULL;
    std::uint64_t next() {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        return state;
    }
};

} // namespace

TEST_CASE("a number has exactly the asked decimals") {
    CHECK(text(36.49, 4) == "36.4900");
    CHECK(text(36.49, 0) == "36");
    CHECK(text(0.05, 1) == "0.1"); // the double is a little above 0.05
    CHECK(text(7, 2) == "7.00");
    CHECK(text(-0.25, 3) == "-0.250");
    CHECK(text(1e15, 2) == "1000000000000000.00");
    CHECK(text(1e300, 1) == by_to_chars(1e300, 1));
}

TEST_CASE("small variances keep their significant digits, others their decimals") {
    using thresh::report::decimals_to_show;
    CHECK(text(0.0000411234, decimals_to_show(0.0000411234, 4, 4)) == "0.00004112");
    CHECK(text(0.02415, decimals_to_show(0.02415, 4, 4)) == "0.02415");
    CHECK(decimals_to_show(186.3067, 4, 4) == 4);
    CHECK(decimals_to_show(0.5, 4, 4) == 4);
    CHECK(decimals_to_show(-0.05, 4, 4) == 5);
    CHECK(decimals_to_show(0.0, 4, 4) == 4);
    CHECK(decimals_to_show(0.0000411234, 4, 0) == 4);
    CHECK(decimals_to_show(1e-300, 4, 4) == 17);
}

TEST_CASE("ties go to even on the exact binary value") {
    CHECK(text(0.5, 0) == "0");
    CHECK(text(1.5, 0) == "2");
    CHECK(text(2.5, 0) == "2");
    CHECK(text(0.125, 2) == "0.12");
    CHECK(text(0.375, 2) == "0.38");
    CHECK(text(-2.5, 0) == "-2");
    CHECK(text(2.675, 2) == "2.67"); // below the tie in binary
    CHECK(text(1.005, 2) == "1.00");
}

TEST_CASE("there is no negative zero") {
    CHECK(text(-0.0, 2) == "0.00");
    CHECK(text(-0.00004, 4) == "0.0000");
    CHECK(text(-0.0, std::nullopt) == "0");
    CHECK(text(-1e-300, 20) == "0.00000000000000000000");
}

TEST_CASE("full digits read back as the same double") {
    Sequence numbers;
    for (int i = 0; i < 20000; ++i) {
        const double value = static_cast<double>(numbers.next() >> 11) * 0x1p-46;
        const std::string written = text(value, std::nullopt);
        double back = 0;
        std::from_chars(written.data(), written.data() + written.size(), back);
        REQUIRE(back == value);
    }
    CHECK(text(36.49, std::nullopt) == "36.49");
    CHECK(text(5, std::nullopt) == "5");
}

TEST_CASE("the fast path writes what exact conversion writes") {
    Sequence numbers;
    for (int i = 0; i < 300000; ++i) {
        const int digits = static_cast<int>(numbers.next() % 11);
        const int size = static_cast<int>(numbers.next() % 60) - 10;
        double value = std::ldexp(static_cast<double>(numbers.next() >> 11), size - 53);
        switch (i % 4) {
        case 0: // decimals that stand at a tie, or next to one
            value = static_cast<double>(numbers.next() % 2000001) / 2000.0;
            break;
        case 1: // binary fractions: true ties
            value = static_cast<double>(numbers.next() % 1000003) / 64.0;
            break;
        case 2:
            value = std::nextafter(static_cast<double>(numbers.next() % 1000003) / 16.0, i % 8 ? 0 : 1e9);
            break;
        default:
            break;
        }
        if (numbers.next() % 2)
            value = -value;
        REQUIRE(text(value, digits) == by_to_chars(value, digits));
    }
}

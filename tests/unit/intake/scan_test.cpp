// One pass over plain text: cells, rows and what else the text holds, by wide instructions and byte by byte.
#include "intake/scan_ways.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

using namespace thresh;
using intake::Dialect;
using intake::Rows;
using intake::Survey;

namespace {

constexpr Dialect kComma = {',', '"'};

// What the scan must find, looked for one thing at a time.
void check_scan(const std::string& text, std::size_t origin, Dialect dialect) {
    std::vector<std::uint32_t> ends, row_last;
    for (std::size_t at = origin; at < text.size(); ++at)
        if (text[at] == dialect.delimiter || text[at] == '\n') {
            if (text[at] == '\n')
                row_last.push_back(static_cast<std::uint32_t>(ends.size()));
            ends.push_back(static_cast<std::uint32_t>(at));
        }
    const std::string seen = text.substr(origin);
    const auto holds = [&](char c) { return seen.find(c) != std::string::npos; };
    Survey expected;
    expected.zero = holds('\0');
    expected.carriage_return = holds('\r');
    expected.quote = dialect.quote != '\0' && holds(dialect.quote);
    expected.beyond_ascii = std::any_of(seen.begin(), seen.end(), [](char c) { return (c & 0x80) != 0; });
    const auto check = [&](const std::string& how, const auto& scan) {
        INFO("from " << origin << " of " << text.size() << ", " << how);
        Rows rows;
        CHECK(scan(rows) == expected);
        REQUIRE(rows.row_last == row_last);
        REQUIRE(rows.ends.size() >= ends.size());
        CHECK(std::equal(ends.begin(), ends.end(), rows.ends.begin()));
    };
    for (const bool plain : {false, true})
        check(plain ? "byte by byte" : "the widest way",
              [&](Rows& rows) { return intake::scan_rows(text, origin, dialect, plain, rows); });
    for (const intake::ScanWay way : {intake::scan_by_halves(), intake::scan_by_steps()})
        if (way != nullptr)
            check(way == intake::scan_by_halves() ? "by halves" : "by steps", [&](Rows& rows) {
                rows.ends.resize(text.size() + intake::kScanStep);
                return way(text, origin, dialect, rows);
            });
}

// A letter in three of four places, else a delimiter or a line feed.
std::string random_text(std::uint32_t state, std::size_t size) {
    std::string text(size, 'a');
    for (char& c : text) {
        state = state * 1664525 + 1013904223;
        c = "abcdefghijkl,,,\n"[state >> 28];
    }
    return text;
}

} // namespace

TEST_CASE("every delimiter and line feed is found, wherever the text starts and ends") {
    for (std::uint32_t seed = 1; seed <= 4; ++seed)
        for (const unsigned size : {0U, 1U, 31U, 63U, 64U, 65U, 127U, 128U, 129U, 500U})
            for (const unsigned origin : {0U, 1U, 63U, 64U, 70U})
                if (origin <= size)
                    check_scan(random_text(seed, size), origin, kComma);
}

TEST_CASE("a stretch that is full of delimiters or line feeds is found whole") {
    for (const unsigned size : {15U, 16U, 17U, 64U, 65U, 200U}) {
        check_scan(std::string(size, ','), 0, kComma);
        check_scan(std::string(size, '\n'), 0, kComma);
        check_scan(std::string(size, 'a'), 0, kComma);
    }
}

TEST_CASE("a byte that decides how a text is cut is seen at every place, and only from the start on") {
    for (const char c : {'\0', '\r', '"', '\xe9', '\x80', '\x7f'})
        for (std::size_t at = 0; at < 150; ++at) {
            std::string text = random_text(7, 150);
            text[at] = c;
            check_scan(text, 0, kComma);
            check_scan(text, 80, kComma);
        }
}

TEST_CASE("a dialect without quotes sees none, neither in a quote nor in a zero byte") {
    check_scan("a,\"b\",c\n" + std::string(100, 'x') + "\n", 0, {',', '\0'});
    check_scan(std::string("a,\0,c\n", 6) + std::string(100, 'x'), 0, {',', '\0'});
    check_scan(std::string(100, 'x') + "a;'b'\n", 0, {';', '\''});
}

#include "plot/code128.hpp"
#include "unit/plot/svg_reader.hpp"

#include <algorithm>
#include <set>
#include <thresh/plot/barcode.hpp>

using namespace thresh::plot;

namespace {

// Symbol characters of a text by trying everything: the measure of the shortest encoding.
int fewest(std::string_view text, char set) {
    if (text.empty())
        return 0;
    int best = 1000;
    const char c = text[0];
    const bool pair = text.size() > 1 && std::isdigit(text[0]) && std::isdigit(text[1]);
    for (const char in : {'A', 'B', 'C'}) {
        const int change = in == set ? 0 : 1;
        if (in == 'C' && pair)
            best = std::min(best, change + 1 + fewest(text.substr(2), 'C'));
        if ((in == 'A' && c < 96) || (in == 'B' && c >= 32))
            best = std::min(best, change + 1 + fewest(text.substr(1), in));
        if ((in == 'A' && c >= 96) || (in == 'B' && c < 32))
            best = std::min(best, change + 2 + fewest(text.substr(1), in));
    }
    return best;
}

int fewest(std::string_view text) {
    return std::min({fewest(text, 'A'), fewest(text, 'B'), fewest(text, 'C')}) + 3; // start, check, stop
}

// What the symbol characters say, by the rules of the code sets: the way back, for the tests.
std::string meaning(const std::vector<int>& symbols) {
    std::string text;
    char set = "ABC"[symbols[0] - 103];
    bool shift = false;
    for (std::size_t i = 1; i + 2 < symbols.size(); ++i) {
        const int symbol = symbols[i];
        const char in = shift ? (set == 'A' ? 'B' : 'A') : set;
        shift = false;
        if (in == 'C' && symbol < 100)
            text +=
                std::string(1, static_cast<char>('0' + symbol / 10)) + static_cast<char>('0' + symbol % 10);
        else if (symbol < 96)
            text += static_cast<char>(in == 'A' && symbol >= 64 ? symbol - 64 : symbol + 32);
        else if (symbol == 98 && in != 'C')
            shift = true;
        else if (symbol == 99)
            set = 'C';
        else if (symbol == 100)
            set = 'B';
        else if (symbol == 101)
            set = 'A';
    }
    return text;
}

} // namespace

TEST_CASE("each symbol character is 11 modules with bars of even width, the stop 13, and no two are alike") {
    std::set<std::string_view> seen;
    for (int symbol = 0; symbol <= 106; ++symbol) {
        const std::string_view widths = bar_widths(symbol);
        int all = 0, bars = 0;
        for (std::size_t i = 0; i < widths.size(); ++i) {
            CHECK((widths[i] >= '1' && widths[i] <= '4'));
            all += widths[i] - '0';
            bars += i % 2 == 0 ? widths[i] - '0' : 0;
        }
        INFO(symbol);
        CHECK(all == (symbol == 106 ? 13 : 11));
        if (symbol != 106)
            CHECK(bars % 2 == 0); // the symbology's own parity
        CHECK(seen.insert(widths).second);
    }
}

TEST_CASE("texts of every kind are encoded, as short as can be, and say what went in") {
    std::vector<std::string> texts = {"LE-016", "12",          "123",     "1234567", "AB1234",
                                      "A12B",   "SB26-000123", "ab\tcd",  "\t\t12",  std::string(1, '\0'),
                                      "x\x1f",  "~\x7f",       "A\nb\nC", "9",       "99 88"};
    // Every text of up to four of these characters, one of each kind that matters.
    const std::string kinds = "7Aa\t";
    for (int length = 1; length <= 6; ++length) {
        int count = 1;
        for (int i = 0; i < length; ++i)
            count *= 4;
        for (int k = 0; k < count; ++k) {
            std::string text;
            for (int i = 0, rest = k; i < length; ++i, rest /= 4)
                text += kinds[static_cast<std::size_t>(rest % 4)];
            texts.push_back(text);
        }
    }
    for (const std::string& text : texts) {
        const auto symbols = code128_symbols(text);
        REQUIRE(symbols);
        if (meaning(*symbols) != text || static_cast<int>(symbols->size()) != fewest(text)) {
            CAPTURE(text, *symbols, fewest(text));
            CHECK(meaning(*symbols) == text);
            CHECK(static_cast<int>(symbols->size()) == fewest(text));
        }
        CHECK(symbols->back() == 106);
        CHECK((*symbols)[symbols->size() - 2] ==
              check_symbol(std::span(*symbols).first(symbols->size() - 2)));
    }
}

TEST_CASE("what Code 128 cannot hold is refused in words") {
    CHECK(code128("").error().message == "an empty text has no bar code");
    CHECK(code128("LE-\xC3\xA9").error().message ==
          "byte 4 of the text is not ASCII, which is all that Code 128 holds");
    CHECK(code128(std::string(81, 'x')).error().message ==
          "81 characters are too many for one bar code (at most 80)");
    CHECK(code128(std::string(80, 'x')));
}

TEST_CASE("a symbol is drawn module by module between quiet zones of ten, its size in mm") {
    const auto barcode = code128("LE-016", {0.3, 12, true});
    REQUIRE(barcode);
    // start, L E - 0 1 6, check: 8 characters of 11 modules, stop of 13, twice 10 of quiet
    CHECK(barcode->modules == 121);
    CHECK(barcode->width_mm == Approx(0.3 * barcode->modules));
    CHECK(barcode->height_mm > 12);
    const auto document = svg::read(barcode->svg);
    CHECK(document.elements[0].at("width") == "36.3mm");
    CHECK(document.elements[0].at("aria-label") == "bar code LE-016");
    CHECK(document.has_text("text", "LE-016"));
    std::string bars;
    for (const auto& element : document.elements)
        if (element.name == "path")
            bars = element.at("d");
    CHECK(bars.rfind("M10 0h2V", 0) == 0);
    // The last bar of the stop ends ten modules before the end.
    const std::string last = bars.substr(bars.rfind('M'));
    CHECK(std::atoi(last.c_str() + 1) + 2 + 10 == static_cast<int>(barcode->modules));
}

TEST_CASE("the text below the bars is escaped, shows control characters as pictures, and can be left out") {
    const auto barcode = code128("</script>\x01&\x7f");
    REQUIRE(barcode);
    CHECK(svg::read(barcode->svg).has_text("text", "</script>\xE2\x90\x81&\xE2\x90\xA1"));
    const auto bare = code128("LE-016", {0.25, 10, false});
    CHECK(svg::read(bare->svg).count("text") == 0);
    CHECK(bare->height_mm == Approx(10));
}

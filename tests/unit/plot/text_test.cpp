#include "plot/text.hpp"

#include <catch2/catch.hpp>

using namespace thresh::plot;

TEST_CASE("markup in a name is text, not markup") {
    CHECK(escape("</script><img src=x onerror=\"a('b')\"> & c") ==
          "&lt;/script&gt;&lt;img src=x onerror=&quot;a(&#39;b&#39;)&quot;&gt; &amp; c");
}

TEST_CASE("what XML cannot hold becomes a replacement character, and what turns direction goes") {
    CHECK(clean("a\x01"
                "b\x7f") == "a\xEF\xBF\xBD"
                            "b\xEF\xBF\xBD");
    CHECK(clean("a\tb\r\nc") == "a b  c");
    CHECK(clean("\xff\xfe") == "\xEF\xBF\xBD\xEF\xBF\xBD");
    CHECK(clean("\xED\xA0\x80").find('\xED') == std::string::npos); // a lone surrogate
    CHECK(clean("a\xEF\xBF\xBF") == "a\xEF\xBF\xBD");               // U+FFFF
    CHECK(clean("a\xE2\x80\xAE"
                "b\xE2\x81\xA6") == "ab"); // U+202E, U+2066
}

TEST_CASE("a right-to-left name keeps its direction to itself, and only where it opens and closes") {
    const std::string name = "\xD7\x9C\xD7\x95\xD7\x99";
    const std::string isolate = "\xE2\x81\xA8", end = "\xE2\x81\xA9";
    CHECK(isolated(name) == isolate + name + end);
    CHECK(isolated("LE-016") == "LE-016");
    CHECK(escape(isolated(name) + ": 3") == isolate + name + end + ": 3");
    CHECK(escape(name + isolate) == name);
    CHECK(escape(end + name + isolate) == name);
}

TEST_CASE("a long name is cut at a whole character and an ellipsis says so") {
    const std::string ellipsis = "\xE2\x80\xA6";
    CHECK(shorten("LE-016", 100, 14) == "LE-016");
    const std::string cut = shorten(std::string(300, 'x'), 100, 14);
    CHECK(cut.size() < 20);
    CHECK(cut.substr(cut.size() - 3) == ellipsis);
    CHECK(text_width(cut, 14) <= 100);
    CHECK(shorten("ab", 1, 14) == ellipsis);
    // A farmer of two characters and a joiner, and a letter with two accents, stay whole or go whole.
    const std::string farmer = "\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x8C\xBE";
    const std::string accents = "e\xCC\x81\xCC\x82";
    for (const std::string& whole : {farmer, accents}) {
        std::string many;
        for (int i = 0; i < 40; ++i)
            many += whole;
        for (double width = 15; width < 200; width += 7) {
            const std::string kept = shorten(many, width, 14);
            CHECK((kept.size() - ellipsis.size()) % whole.size() == 0);
        }
    }
}

TEST_CASE("numbers have exactly their decimals and no negative zero") {
    CHECK(number_text(37.284, 2) == "37.28");
    CHECK(number_text(-0.001, 2) == "0.00");
    CHECK(number_text(-0.5, 0) == "0");
    CHECK(number_text(-0.006, 2) == "-0.01");
    CHECK(with_unit(1143.6, 1, "nm") == "1143.6 nm");
    CHECK(with_unit(3, 0, "") == "3");
    CHECK(counted(1, "line", "lines") == "1 line");
    CHECK(counted(0, "line", "lines") == "0 lines");
}

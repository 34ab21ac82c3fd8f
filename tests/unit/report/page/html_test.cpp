#include "report/page/html.hpp"

#include <catch2/catch.hpp>
#include <string>

namespace {

std::string sentence(std::string_view text) {
    thresh::report::Html html;
    html.sentence(text);
    return html.bytes();
}

} // namespace

TEST_CASE("a sentence runs from left to right, and a name in it keeps its direction to itself") {
    CHECK(sentence("`\u05dc\u05d5\u05d9-3` is not listed; nearest: `a`, `b`") ==
          "`<bdi>\u05dc\u05d5\u05d9-3</bdi>` is not listed; nearest: `a`, `b`");
    CHECK(sentence("no name") == "no name");
    CHECK(sentence("cut off within `a nam\u2026") == "cut off within `a nam\u2026");
    CHECK(sentence("`<i>` & `") == "`&lt;i&gt;` &amp; `");
    CHECK(sentence("") == "");
}

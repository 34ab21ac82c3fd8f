#include <catch2/catch.hpp>
#include <thresh/core/nearest.hpp>

using namespace thresh;

TEST_CASE("the nearest name is found by edits, swaps and case") {
    CHECK(edit_distance("kitten", "sitting") == 3);
    CHECK(edit_distance("ca", "abc") == 3); // optimal string alignment, not Damerau-Levenshtein
    CHECK(edit_distance("protien", "protein") == 1);
    CHECK(edit_distance("OIL", "oil") == 0);
    CHECK(nearest_hint("xxxxxxxx", {"a", "b"}, "known") == "known: a, b");
    CHECK(nearest_hint("oli", {"ash", "oil"}, "known") == "did you mean `oil`?");
}

TEST_CASE("of many names only the first ten are listed, with the number of the others") {
    std::vector<std::string> names;
    for (int i = 0; i < 41; ++i)
        names.push_back("line-" + std::to_string(100 + i));
    CHECK(thresh::nearest_hint("somethingelse", names, "lines here") ==
          "lines here: line-100, line-101, line-102, line-103, line-104, line-105, line-106, line-107, "
          "line-108, "
          "line-109 and 31 more");
    names.pop_back();
    CHECK(thresh::nearest_hint("somethingelse", names).find("line-139") != std::string::npos);
}

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

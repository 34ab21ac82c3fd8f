#include <catch2/catch.hpp>

#include <string>
#include <thresh/core/text_pool.hpp>

using thresh::kNoText;
using thresh::TextPool;

TEST_CASE("interning the same text twice gives the same id") {
    TextPool pool;
    CHECK(pool.intern("S-7") == pool.intern("S-7"));
    CHECK(pool.find("S-8") == kNoText);
    CHECK(TextPool().find("") == kNoText);
}

TEST_CASE("after sorting, ids follow the bytes whatever the order of arrival") {
    TextPool one, two;
    for (int i = 0; i < 1000; ++i)
        one.intern("S" + std::to_string(i));
    for (int i = 999; i >= 0; --i)
        two.intern("S" + std::to_string(i));
    const auto moved = one.sort_bytewise();
    two.sort_bytewise();
    REQUIRE(one.size() == 1000);
    for (thresh::TextId id = 0; id < 1000; ++id) {
        REQUIRE(one[id] == two[id]);
        if (id > 0)
            REQUIRE(one[id - 1] < one[id]);
        REQUIRE(one.find(two[id]) == id);
        REQUIRE(one[moved[id]] == "S" + std::to_string(id));
    }
}

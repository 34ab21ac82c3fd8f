#include <catch2/catch.hpp>

#include <thresh/core/text_column.hpp>

using namespace thresh;

namespace {

TextColumn column_of(std::initializer_list<TextId> ids) {
    TextColumn column;
    for (const TextId id : ids)
        column.push_back(id);
    return column;
}

} // namespace

TEST_CASE("a column of few texts gives the same ids when it is fitted") {
    TextColumn column = column_of({254, kNoText, 0, 7});
    const TextColumn before = column;
    column.fit(255);
    CHECK(column == before);
    CHECK(column.size() == 4);
    CHECK(column[0] == 254);
    CHECK(column[1] == kNoText);
    CHECK_FALSE(column.empty());
}

TEST_CASE("a column of many texts stays as it is") {
    TextColumn column = column_of({255, kNoText, 0});
    column.fit(256);
    CHECK(column[0] == 255);
    CHECK(column[1] == kNoText);
}

TEST_CASE("a fitted column takes ids of any size again") {
    TextColumn column = column_of({1, kNoText, 2});
    column.fit(3);
    column.set(1, 100000);
    CHECK(column == column_of({1, 100000, 2}));
    column.assign(2, kNoText);
    CHECK(column == column_of({kNoText, kNoText}));
}

TEST_CASE("renumbering leaves blanks alone, fitted or not") {
    for (const bool fitted : {false, true}) {
        TextColumn column = column_of({0, kNoText, 2});
        if (fitted)
            column.fit(3);
        column.renumber([](TextId id) { return id + 1000; });
        CHECK(column == column_of({1000, kNoText, 1002}));
    }
}

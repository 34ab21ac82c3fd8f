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

TEST_CASE("renumbering leaves blanks alone, whether or not ids grow too large for a byte") {
    for (const TextId more : {TextId{3}, TextId{253}, TextId{1000}}) {
        TextColumn column = column_of({0, kNoText, 2});
        column.renumber([&](TextId id) { return id + more; });
        CHECK(column == column_of({more, kNoText, more + 2}));
        column.renumber([](TextId id) { return id + 1; });
        CHECK(column == column_of({more + 1, kNoText, more + 3}));
    }
}

TEST_CASE("a column takes a byte a row until an id is too large, and again once it is fitted") {
    constexpr std::size_t kRows = 1000;
    TextColumn column;
    column.reserve(kRows);
    for (std::size_t row = 0; row + 1 < kRows; ++row)
        column.push_back(row % 2 == 0 ? TextId{254} : kNoText);
    CHECK(column.memory() == kRows);
    column.push_back(255);
    CHECK(column.memory() == kRows * sizeof(TextId));
    CHECK(column.size() == kRows);
    CHECK(column[0] == 254);
    CHECK(column[1] == kNoText);
    CHECK(column[kRows - 1] == 255);
    column.set(kRows - 1, 1);
    column.fit(255);
    CHECK(column.memory() == kRows);
    CHECK(column[kRows - 1] == 1);
    CHECK(column[0] == 254);
    column.set(0, kNoText);
    CHECK(column.memory() == kRows);
    CHECK(column[0] == kNoText);
}

TEST_CASE("a view shows what the column holds: bytes, wide ids, or nothing at all") {
    TextColumn column;
    CHECK(column.view()[3] == kNoText);
    for (const TextId large : {TextId{200}, TextId{70000}}) {
        for (const TextId id : {TextId{0}, kNoText, TextId{254}, large})
            column.push_back(id);
        const TextColumn::View view = column.view();
        for (std::size_t row = 0; row < column.size(); ++row)
            CHECK(view[row] == column[row]);
    }
}

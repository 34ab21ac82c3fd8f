#include <catch2/catch.hpp>

#include <thresh/core/line_column.hpp>

using thresh::LineColumn;

namespace {

LineColumn column_of(std::initializer_list<std::uint32_t> lines) {
    LineColumn column;
    column.reserve(10);
    for (const std::uint32_t line : lines)
        column.push_back(line);
    return column;
}

} // namespace

TEST_CASE("rows on successive lines take no memory") {
    LineColumn column = column_of({7, 8, 9, 10});
    CHECK(column.memory() == 0);
    column.shift(100);
    CHECK(column.size() == 4);
    CHECK(column[0] == 107);
    CHECK(column[3] == 110);
    column.push_back(111);
    CHECK(column.memory() == 0);
}

TEST_CASE("rows with gaps between their lines keep every line") {
    LineColumn column = column_of({7, 8, 10, 11, 5});
    column.shift(1);
    column.push_back(20);
    const std::uint32_t expected[] = {8, 9, 11, 12, 6, 20};
    REQUIRE(column.size() == std::size(expected));
    for (std::size_t row = 0; row < column.size(); ++row)
        CHECK(column[row] == expected[row]);
    CHECK(column.memory() == 10 * sizeof(std::uint32_t));
}

TEST_CASE("a gap behind the first row alone is kept") {
    const LineColumn column = column_of({7, 9});
    CHECK(column[0] == 7);
    CHECK(column[1] == 9);
}

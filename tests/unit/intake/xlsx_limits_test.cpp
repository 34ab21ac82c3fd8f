#include "unit/intake/xlsx_dump.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>

using namespace thresh::test;
using namespace thresh::intake::xlsx;

namespace {

bool refused_for(std::string_view bytes, const Limits& limits, std::string_view reason) {
    const std::string said = dump_book(bytes, false, limits);
    INFO(said.substr(0, 300));
    return said.starts_with("refused: ") && said.find(reason) != std::string::npos;
}

} // namespace

TEST_CASE("a part that inflates beyond the limits is refused while it is read") {
    const std::string bomb = make_book({.rows = "<row r=\"1\">" + std::string(4 << 20, ' ') + "</row>"});
    CHECK(dump_book(bomb) == "");
    CHECK(refused_for(bomb, {.part_bytes = 1 << 20}, "inflates to more than 1048576 bytes"));
    CHECK(refused_for(bomb, {.ratio = 100, .ratio_from = 1 << 20}, "more than 100 times its packed size"));
}

TEST_CASE("a real bomb is stopped by the default limits") {
    // 300 MB of blanks pack into 0.3 MB.
    const std::string bomb = make_book({.rows = std::string(300 << 20, ' ')});
    CHECK(bomb.size() < 1 << 20);
    CHECK(refused_for(bomb, {}, "times its packed size"));
}

TEST_CASE("one tag that a parser would have to hold whole is refused") {
    const std::string comment = make_book({.rows = "<!--" + std::string(6 << 20, 'x') + "-->"});
    CHECK(refused_for(comment, {}, "a single tag of more than"));
    const std::string attribute = make_book({.rows = "<row r=\"" + std::string(6 << 20, '1') + "\"/>"});
    CHECK(refused_for(attribute, {}, "a single tag of more than"));
}

TEST_CASE("texts, nesting, cells, parts, sheets and merged ranges have their limits") {
    const std::string long_text = "<row><c t=\"str\"><v>" + std::string(2 << 20, 'x') + "</v></c></row>";
    CHECK(refused_for(make_book({.rows = long_text}), {}, "cell A1 holds more than"));
    CHECK(refused_for(make_book({.shared = "<si><t>" + std::string(2 << 20, 'x') + "</t></si>"}), {},
                      "a text of more than"));
    std::string deep;
    for (int i = 0; i < 300; ++i)
        deep += "<a>";
    CHECK(refused_for(make_book({.rows = deep}), {}, "nested too deeply"));
    const std::string three = make_book({.rows = "<row><c/><c/><c/></row>"});
    CHECK(refused_for(three, {.cells = 2}, "more than 2 cells"));
    CHECK(refused_for(three, {.parts = 2}, "more than 2 parts"));
    CHECK(refused_for(three, {.sheets = 0}, "too many sheets"));
    CHECK(refused_for(make_book({.behind = "<mergeCell ref=\"A1:B1\"/>"}), {.merged_ranges = 0},
                      "more than 0 merged ranges"));
    CHECK(
        refused_for(make_book({.shared = "<si><t>abc</t></si>"}), {.shared_text_bytes = 4}, "bytes of text"));
    CHECK(refused_for(make_book({.styles = "<xf/><xf/>"}), {.styles = 1}, "too many cell styles"));
}

TEST_CASE("a million shared strings are read in bounded memory") {
    std::string shared, rows;
    for (int i = 0; i < 1'000'000; ++i)
        shared += fmt::format("<si><t>S{}</t></si>", i);
    const std::string bytes =
        make_book({.rows = "<row><c t=\"s\"><v>999999</v></c></row>", .shared = shared});
    const auto book = Book::open(bytes);
    REQUIRE(book);
    CHECK(book->common().strings.size() == 1'000'000);
    CHECK(dump_sheet(*book, 0) == "1: t'S999999'\n");
}

TEST_CASE("a sheet of as many rows as there can be is read to its end") {
    std::string rows;
    for (int i = 1; i <= 1'048'576; ++i)
        rows += fmt::format("<row r=\"{0}\"><c r=\"A{0}\"><v>{0}</v></c></row>", i);
    const std::string bytes = make_book({.rows = rows});
    const auto book = Book::open(bytes);
    REQUIRE(book);
    std::uint32_t last = 0, count = 0;
    REQUIRE(sheet_to_records(
        *book, 0,
        [&](const SheetRow& row) {
            last = row.row;
            ++count;
            return true;
        },
        [] {}));
    CHECK(last == 1'048'576);
    CHECK(count == 1'048'576);
}

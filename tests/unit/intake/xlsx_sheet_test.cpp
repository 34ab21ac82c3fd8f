#include "unit/intake/xlsx_dump.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <catch2/catch.hpp>

using namespace thresh::test;
using namespace thresh::intake::xlsx;

namespace {

std::string cells(std::string_view in_row_1) {
    return "<row r=\"1\">" + std::string(in_row_1) + "</row>";
}
std::string read(std::string_view in_row_1) {
    return dump_book(make_book({.rows = cells(in_row_1)}));
}

} // namespace

TEST_CASE("each type of cell is told apart") {
    CHECK(read("<c r=\"A1\"><v>36.490000000000002</v></c>") == "1: n36.49\n");
    CHECK(read("<c r=\"A1\" t=\"n\"><v>5</v></c>") == "1: n5\n");
    CHECK(read("<c r=\"A1\" t=\"str\"><f>A2</f><v>abc</v></c>") == "1: t'abc'\n");
    CHECK(read("<c r=\"A1\" t=\"inlineStr\"><is><t>in &lt;line&gt;</t></is></c>") == "1: t'in <line>'\n");
    CHECK(read("<c r=\"A1\" t=\"b\"><v>1</v></c><c r=\"B1\" t=\"b\"><v>0</v></c>") == "1: bTRUE bFALSE\n");
    CHECK(read("<c r=\"A1\" t=\"e\"><v>#DIV/0!</v></c>") == "1: e#DIV/0!\n");
    CHECK(read("<c r=\"A1\" t=\"d\"><v>2024-08-05T09:30:00</v></c>") == "1: d2024-08-05T09:30\n");
    CHECK(read("<c r=\"A1\" t=\"d\"><v>5 August</v></c>") == "1: t'5 August'\n");
    CHECK(read("<c r=\"A1\"><v>36,49</v></c>") == "1: t'36,49'\n");
    CHECK(read("<c r=\"A1\"><v>NaN</v></c>") == "1: t'NaN'\n");
}

TEST_CASE("a formula without a stored result is told and one with it is a value") {
    CHECK(read("<c r=\"A1\"><f>B1*2</f></c>") == "1: u\n");
    CHECK(read("<c r=\"A1\"><f>B1*2</f><v></v></c>") == "1: u\n");
    CHECK(read("<c r=\"A1\"><f>B1*2</f><v/></c>") == "1: u\n");
    CHECK(read("<c r=\"A1\"><f>B1*2</f><v>4</v></c>") == "1: n4\n");
    CHECK(read("<c r=\"A1\"><f>B1*2</f><v>0</v></c>") == "1: n0\n");
    CHECK(read("<c r=\"A1\"><v>1</v></c><c r=\"B1\" t=\"str\"><f>IF(1,\"\")</f><v></v></c>") == "1: n1\n");
    CHECK(read("<c r=\"A1\" t=\"e\"><f>1/0</f><v>#DIV/0!</v></c>") == "1: e#DIV/0!\n");
}

TEST_CASE("a zero that a library stored instead of computing is no result") {
    BookText text{.rows = cells("<c><f>B1</f><v>0</v></c><c><v>0</v></c><c><f>B1</f><v>2</v></c>")};
    text.workbook_extras = "<calcPr calcId=\"1\" fullCalcOnLoad=\"1\"/>";
    CHECK(dump_book(make_book(text)) == "1: u n0 n2\n");
}

TEST_CASE("shared strings count empty entries, join rich text and drop phonetic hints") {
    BookText text{.rows = cells("<c t=\"s\"><v>0</v></c><c t=\"s\"><v>1</v></c><c t=\"s\"><v>2</v></c>"
                                "<c t=\"s\"><v>3</v></c><c t=\"s\"><v>4</v></c>")};
    text.shared =
        "<si><t>first</t></si><si/><si><r><rPr><b/></rPr><t xml:space=\"preserve\">Pro </t></r>"
        "<r><t>tein</t></r></si><si><t>\xE6\x9D\xB1</t><rPh sb=\"0\" eb=\"1\"><t>hint</t></rPh></si>"
        "<si><t>a_x000D_b_x005F_x000D_ _xD800_ _x00</t></si>";
    CHECK(dump_book(make_book(text)) ==
          "1: t'first' - t'Pro tein' t'\xE6\x9D\xB1' t'a\rb_x000D_ _xD800_ _x00'\n");
}

TEST_CASE("inline rich text is joined and its hints dropped") {
    CHECK(read("<c t=\"inlineStr\"><is><r><t>Oil </t></r><r><t>%</t></r><rPh><t>x</t></rPh></is></c>") ==
          "1: t'Oil %'\n");
    CHECK(read("<c><is><t>no type</t></is></c>") == "1: t'no type'\n");
}

TEST_CASE("cells and rows without a place follow the one before") {
    CHECK(dump_book(make_book(
              {.rows = "<row><c><v>1</v></c><c><v>2</v></c></row><row r=\"5\"><c r=\"C5\"><v>3</v></c>"
                       "<c><v>4</v></c></row><row><c><v>5</v></c></row>"})) ==
          "1: n1 n2\n5: - - n3 n4\n6: n5\n");
}

TEST_CASE("cells out of order find their column and two values for one cell are refused") {
    CHECK(read("<c r=\"C1\"><v>3</v></c><c r=\"A1\"><v>1</v></c>") == "1: n1 - n3\n");
    CHECK(read("<c r=\"B1\"><v>3</v></c><c r=\"B1\"><v>1</v></c>").find("cell B1 has two values") !=
          std::string::npos);
}

TEST_CASE("places that contradict the sheet are refused") {
    CHECK(read("<c r=\"A2\"><v>3</v></c>").find("row 1 holds a cell that is not in it") != std::string::npos);
    CHECK(read("<c r=\"A2\"/><c r=\"B1\"><v>3</v></c>") == "1: - n3\n");
    CHECK(read("<c r=\"XFE1\"><v>3</v></c>").find("not in it") != std::string::npos);
    CHECK(read("<c r=\"1A\"><v>3</v></c>").find("not in it") != std::string::npos);
    CHECK(read("<c r=\"XFD1\"><v>3</v></c>").find("n3") != std::string::npos);
    CHECK(dump_book(make_book({.rows = "<row r=\"3\"/><row r=\"2\"/>"})).find("row 2 stands behind row 3") !=
          std::string::npos);
    CHECK(dump_book(make_book({.rows = "<row r=\"1048577\"/>"})).find("no valid number") !=
          std::string::npos);
    CHECK(dump_book(make_book({.rows = "<row r=\"1048576\"/><row/>"})).find("more rows than") !=
          std::string::npos);
    CHECK(dump_book(make_book({.rows = "<row r=\"-1\"/>"})).find("no valid number") != std::string::npos);
}

TEST_CASE("styled empty cells and empty rows hold nothing") {
    CHECK(dump_book(make_book(
              {.rows = "<row r=\"1\"><c r=\"A1\" s=\"3\"/></row><row r=\"2\"/>"
                       "<row r=\"3\"><c r=\"B3\"><v>1</v></c><c r=\"C3\" s=\"1\"/></row>"})) == "3: - n1\n");
}

TEST_CASE("styles turn numbers into dates, percentages and padded IDs") {
    BookText text{
        .rows = cells("<c s=\"0\"><v>45292</v></c><c s=\"1\"><v>45292</v></c><c s=\"2\"><v>45292.5</v></c>"
                      "<c s=\"3\"><v>0.36490000000000001</v></c><c s=\"4\"><v>42</v></c>"
                      "<c s=\"5\"><v>45292</v></c><c s=\"99\"><v>45292</v></c>"
                      "<c s=\"1\" t=\"str\"><v>45292</v></c>")};
    text.formats =
        "<numFmt numFmtId=\"164\" formatCode=\"dd.mm.yyyy hh:mm\"/>"
        "<numFmt numFmtId=\"165\" formatCode=\"00000\"/><numFmt numFmtId=\"15\" formatCode=\"0.0\"/>";
    text.formats += "</numFmts><dxfs><dxf><numFmt numFmtId=\"0\" formatCode=\"yyyy\"/></dxf></dxfs><numFmts>";
    text.styles = "<xf numFmtId=\"0\"/><xf numFmtId=\"14\"/><xf numFmtId=\"164\"/><xf numFmtId=\"10\"/>"
                  "<xf numFmtId=\"165\"/><xf numFmtId=\"15\"/>";
    CHECK(dump_book(make_book(text)) ==
          "1: n45292 d2024-01-01 d2024-01-01T12:00 n36.49% n00042 n45292 n45292 t'45292'\n");
}

TEST_CASE("the date system of the book is honoured and impossible days are marked") {
    BookText text{.rows = cells("<c s=\"0\"><v>43830</v></c><c s=\"0\"><v>60</v></c><c s=\"0\"><v>-5</v></c>"
                                "<c s=\"0\"><v>99999999</v></c>")};
    text.styles = "<xf numFmtId=\"14\"/>";
    CHECK(dump_book(make_book(text)) == "1: d2019-12-31 d1900-02-29? d1899-12-26? n99999999?\n");
    text.workbook_extras = "<workbookPr date1904=\"true\"/><x14:workbookPr xmlns:x14=\"x\"/>";
    CHECK(dump_book(make_book(text)) == "1: d2024-01-01 d1904-03-01 d1903-12-27? n99999999?\n");
}

TEST_CASE("an ID of more than 15 digits is marked") {
    CHECK(read("<c><v>1.2345678901234568E+17</v></c><c><v>123456789012345</v></c>") ==
          "1: n123456789012345680? n123456789012345\n");
}

TEST_CASE("a merged heading is spread over its span and data keep only their first cell") {
    const BookText text{
        .rows =
            "<row r=\"1\"><c r=\"A1\" t=\"str\"><v>Sample</v></c><c r=\"B1\" t=\"str\"><v>As is</v></c></row>"
            "<row r=\"2\"><c r=\"B2\" t=\"str\"><v>Oil</v></c><c r=\"C2\" t=\"str\"><v>Protein</v></c></row>"
            "<row r=\"3\"><c r=\"A3\"><v>1</v></c></row>",
        .behind =
            "<mergeCells count=\"2\"><mergeCell ref=\"B1:D1\"/><mergeCell ref=\"A1:A2\"/></mergeCells>"};
    const std::string bytes = make_book(text);
    CHECK(dump_book(bytes) == "1: t'Sample' t'As is'\n2: - t'Oil' t'Protein'\n3: n1\n");
    CHECK(dump_book(bytes, true) ==
          "1: t'Sample' t'As is' t'As is' t'As is'\n2: t'Sample' t'Oil' t'Protein'\n3: n1\n");
    const auto book = Book::open(bytes);
    REQUIRE(book);
    CHECK(merged_ranges(*book) == std::vector<MergedRange>{{1, 1, 1, 3}, {1, 2, 0, 0}});
}

TEST_CASE("the rows of a sheet with merged ranges come again with their spans, those of others once") {
    const auto passes = [](const char* behind) {
        const std::string bytes = make_book({.rows = "<row><c><v>1</v></c></row>", .behind = behind});
        const auto book = Book::open(bytes);
        REQUIRE(book);
        int restarts = 0;
        std::size_t rows = 0, spans = 0;
        REQUIRE(sheet_to_records(
            *book, 0,
            [&](const SheetRow& row) {
                ++rows;
                spans = row.spans.size();
                return true;
            },
            [&] {
                ++restarts;
                rows = 0;
            }));
        CHECK(rows == 1);
        return std::pair(restarts, spans);
    };
    CHECK(passes("") == std::pair(0, std::size_t{0}));
    CHECK(passes("<mergeCells><mergeCell ref=\"A1:B1\"/></mergeCells>") == std::pair(1, std::size_t{1}));
    // Too tall for a heading: not followed.
    CHECK(passes("<mergeCells><mergeCell ref=\"A1:A900\"/></mergeCells>") == std::pair(0, std::size_t{0}));
}

TEST_CASE("a merged range that is none is refused") {
    for (const char* ref : {"B1:A1", "A1:", "", "A0:B2", "A1:ZZZZ9"})
        CHECK(dump_book(make_book({.rows = "",
                                   .behind = std::string("<mergeCells><mergeCell ref=\"") + ref +
                                             "\"/></mergeCells>"}))
                  .find("is no range of cells to merge") != std::string::npos);
}

TEST_CASE("a reader that has enough gets no further row") {
    const std::string bytes =
        make_book({.rows = "<row><c><v>1</v></c></row><row><c><v>2</v></c></row><row><c><v>3</v></c></row>"});
    const auto book = Book::open(bytes);
    REQUIRE(book);
    int rows = 0;
    CHECK(sheet_to_records(
        *book, 0, [&](const SheetRow&) { return ++rows < 1; }, [&] { rows = 0; }));
    CHECK(rows == 1);
}

TEST_CASE("cell places are read and written") {
    CHECK(parse_place("C7") == CellPlace{7, 2});
    CHECK(parse_place("$AA$10") == CellPlace{10, 26});
    CHECK(parse_place("XFD1048576") == CellPlace{1'048'576, 16'383});
    for (const char* text :
         {"", "C", "7", "C0", "7C", "C7x", "XFE1", "A1048577", "A99999999999999999999", "-A1"})
        CHECK_FALSE(parse_place(text));
    for (const std::uint32_t column : {0U, 25U, 26U, 701U, 702U, 16'383U})
        CHECK(parse_place(place_name(9, column)) == CellPlace{9, column});
}

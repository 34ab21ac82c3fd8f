#include "unit/intake/xlsx_dump.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <catch2/catch.hpp>

using namespace thresh::test;
using thresh::intake::xlsx::Book;
using thresh::intake::xlsx::looks_like_book;

namespace {

std::string cells(std::string_view in_row_1) {
    return "<row r=\"1\">" + std::string(in_row_1) + "</row>";
}

std::string refusal(std::string_view bytes) {
    const auto book = Book::open(bytes);
    return book ? "opened" : book.error().message;
}

const BookText plain{.rows = "<row r=\"1\"><c r=\"A1\"><v>1</v></c></row>"};

std::string compound(std::string_view stream) {
    std::string bytes("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", 8);
    bytes.resize(1024);
    for (const char c : stream) {
        bytes.push_back(c);
        bytes.push_back('\0');
    }
    return bytes;
}

} // namespace

TEST_CASE("sheets are listed in order with their visibility and without charts") {
    Parts parts = book_parts(plain);
    set_part(parts, "xl/workbook.xml",
             "<workbook xmlns:r=\"x\"><sheets><sheet name=\"A&amp;B\" r:id=\"rId9\"/>"
             "<sheet name=\"Chart\" r:id=\"rId7\"/><sheet name=\"Hid\" state=\"hidden\" r:id=\"rId1\"/>"
             "<sheet name=\"Very\" state=\"veryHidden\" r:id=\"rId1\"/></sheets></workbook>");
    set_part(
        parts, "xl/_rels/workbook.xml.rels",
        "<Relationships><Relationship Id=\"rId1\" Type=\"a/worksheet\" Target=\"worksheets/sheet1.xml\"/>"
        "<Relationship Id=\"rId9\" Type=\"a/worksheet\" Target=\"worksheets/s2.xml\"/>"
        "<Relationship Id=\"rId7\" Type=\"a/chartsheet\" Target=\"chartsheets/c.xml\"/></Relationships>");
    set_part(parts, "xl/worksheets/s2.xml", "<worksheet><sheetData/></worksheet>");
    const std::string bytes = make_zip(parts);
    const auto book = Book::open(bytes);
    REQUIRE(book);
    REQUIRE(book->sheets().size() == 3);
    CHECK(book->sheets()[0].name == "A&B");
    CHECK(book->sheets()[0].visible);
    CHECK(book->sheets()[1].name == "Hid");
    CHECK_FALSE(book->sheets()[1].visible);
    CHECK_FALSE(book->sheets()[2].visible);
    CHECK(dump_sheet(*book, 0) == "");
    CHECK(dump_sheet(*book, 1) == "1: n1\n");
}

TEST_CASE("part paths may be absolute, relative, escaped or in another case") {
    for (const char* target :
         {"/xl/worksheets/sheet1.xml", "worksheets/sheet1.xml", "./worksheets/../worksheets/sheet1.xml",
          "../xl/worksheets/sheet1.xml", "worksheets\\sheet1.xml", "Worksheets/Sheet1.xml",
          "worksheets/sheet%31.xml"}) {
        Parts parts = book_parts(plain);
        set_part(parts, "xl/_rels/workbook.xml.rels",
                 std::string("<Relationships><Relationship Id=\"rId1\" Type=\"a/worksheet\" Target=\"") +
                     target + "\"/></Relationships>");
        CHECK(dump_book(make_zip(parts)) == "1: n1\n");
    }
}

TEST_CASE("targets that climb out of the archive or point outside it are refused") {
    for (const char* target :
         {"../../etc/passwd", "/../sheet1.xml", "file:///etc/passwd", "worksheets/none.xml", ""}) {
        Parts parts = book_parts(plain);
        set_part(parts, "xl/_rels/workbook.xml.rels",
                 std::string("<Relationships><Relationship Id=\"rId1\" Type=\"a/worksheet\" Target=\"") +
                     target + "\"/></Relationships>");
        CHECK(refusal(make_zip(parts)).find("points at a part that the archive lacks") != std::string::npos);
    }
    Parts parts = book_parts(plain);
    set_part(parts, "xl/_rels/workbook.xml.rels",
             "<Relationships><Relationship Id=\"rId1\" Type=\"a/worksheet\" TargetMode=\"External\" "
             "Target=\"worksheets/sheet1.xml\"/></Relationships>");
    CHECK(refusal(make_zip(parts)).find("points at no part") != std::string::npos);
}

TEST_CASE("part names with path tricks are never reached and a repeated name refuses the book") {
    Parts parts = book_parts(plain);
    parts.emplace_back("../../evil.xml", "x");
    parts.emplace_back("xl/../xl/worksheets/sheet1.xml", "x");
    CHECK(dump_book(make_zip(parts)) == "1: n1\n");
    parts.emplace_back("XL/Worksheets/sheet1.xml", "<worksheet/>");
    CHECK(refusal(make_zip(parts)).find("holds this part twice") != std::string::npos);
}

TEST_CASE("prefixed tags and UTF-16 parts read like any other") {
    Parts parts = book_parts(plain);
    set_part(parts, "xl/worksheets/sheet1.xml",
             "<x:worksheet xmlns:x=\"m\"><x:sheetData><x:row r=\"1\"><x:c r=\"A1\"><x:v>7</x:v></x:c></x:row>"
             "</x:sheetData></x:worksheet>");
    CHECK(dump_book(make_zip(parts)) == "1: n7\n");
    std::string wide("\xFF\xFE");
    for (const char c : std::string("<worksheet><sheetData><row><c><v>8</v></c></row></sheetData><mergeCells>"
                                    "<mergeCell ref=\"A1:B1\"/></mergeCells></worksheet>")) {
        wide.push_back(c);
        wide.push_back('\0');
    }
    set_part(parts, "xl/worksheets/sheet1.xml", wide);
    const std::string bytes = make_zip(parts);
    CHECK(dump_book(bytes) == "1: n8\n");
    const auto book = Book::open(bytes);
    REQUIRE(book);
    CHECK(merged_ranges(*book).size() == 1);
}

TEST_CASE("files that are no workbook are named as what they are") {
    CHECK(refusal(compound("EncryptedPackage")) == "the workbook is protected by a password");
    CHECK(refusal(compound("Workbook")) == "the file is a workbook of the older .xls kind");
    CHECK(refusal(compound("Book")) == "the file is a workbook of the older .xls kind");
    CHECK(refusal(compound("WordDocument")).find("older office document") != std::string::npos);
    CHECK(refusal("Sample;Protein\nA;40\n").find("the file holds text") == 0);
    CHECK(refusal("").find("the file is empty") == 0);
    CHECK(refusal(std::string_view("\x89PNG\0\0", 6)) == "the file is not an .xlsx workbook");
    CHECK(refusal(make_zip({{"week32.csv", "a"}})) == "the file is a zip archive, but not an .xlsx workbook");
    CHECK(refusal(make_zip({{"word/document.xml", "a"}})).find(".docx") != std::string::npos);
    CHECK(refusal(make_zip({{"xl/workbook.bin", "a"}})).find(".xlsb") != std::string::npos);
    CHECK(refusal(make_zip({{"mimetype", "a"}, {"content.xml", "a"}})).find(".ods") != std::string::npos);
    for (const std::string& bytes : {compound("Workbook"), make_zip({{"a", "b"}})}) {
        CHECK(looks_like_book(bytes));
        CHECK_FALSE(Book::open(bytes).error().help.empty());
        CHECK(Book::open(bytes).error().file.empty());
    }
    CHECK_FALSE(looks_like_book("PKV;Sample"));
}

TEST_CASE("an archive cut short or with a wrong checksum is refused") {
    const std::string whole = make_book(plain);
    CHECK(refusal(whole) == "opened");
    for (std::size_t size = 4; size + 7 < whole.size(); size += 5)
        CHECK(refusal(whole.substr(0, size)) == "the workbook's archive is cut short or damaged");
    std::string flipped = make_book({.rows = "<row r=\"1\"><c r=\"A1\"><v>123456789</v></c></row>"});
    const std::size_t central = flipped.find("PK\x01\x02");
    REQUIRE(central != std::string::npos);
    for (std::size_t at = central; at != std::string::npos; at = flipped.find("PK\x01\x02", at + 1))
        flipped[at + 16] = static_cast<char>(flipped[at + 16] ^ 0x55); // checksum in the directory
    CHECK(dump_book(flipped).find("refused: the workbook is damaged") == 0);
}

TEST_CASE("an encrypted part is told as a password") {
    std::string bytes = make_book(plain);
    for (const auto& [mark, offset] : {std::pair{"PK\x01\x02", 8}, std::pair{"PK\x03\x04", 6}})
        for (std::size_t at = bytes.find(mark); at != std::string::npos; at = bytes.find(mark, at + 1))
            bytes[at + static_cast<std::size_t>(offset)] |= 1;
    CHECK(refusal(bytes).find("protected by a password") != std::string::npos);
}

TEST_CASE("document type definitions and broken XML are refused") {
    Parts parts = book_parts(plain);
    set_part(
        parts, "xl/worksheets/sheet1.xml",
        "<!DOCTYPE x [<!ENTITY a \"aaaa\"><!ENTITY b \"&a;&a;&a;\">]><worksheet><sheetData><row><c><v>&b;"
        "</v></c></row></sheetData></worksheet>");
    CHECK(dump_book(make_zip(parts)).find("document type definition") != std::string::npos);
    set_part(parts, "xl/worksheets/sheet1.xml", "<worksheet><sheetData><row><c><v>1</v></row>");
    CHECK(dump_book(make_zip(parts)).find("not well-formed XML") != std::string::npos);
    set_part(parts, "xl/worksheets/sheet1.xml", "");
    CHECK(dump_book(make_zip(parts)).find("not well-formed XML") != std::string::npos);
    set_part(parts, "xl/workbook.xml", "<workbook><sheets/></workbook>");
    CHECK(refusal(make_zip(parts)).find("no sheet with cells") != std::string::npos);
}

TEST_CASE("a book without styles, shared strings or package relationships still opens") {
    Parts parts = book_parts(plain);
    std::erase_if(parts, [](const auto& part) { return part.first == "_rels/.rels"; });
    CHECK(dump_book(make_zip(parts)) == "1: n1\n");
    CHECK(dump_book(make_book({.rows = cells("<c t=\"s\"><v>0</v></c>")})) ==
          "refused: the workbook is damaged: cell A1 refers to a text that the workbook lacks (part "
          "`xl/worksheets/sheet1.xml`)");
}

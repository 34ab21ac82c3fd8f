#include "unit/intake/reading_help.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <thresh/intake/list_table.hpp>

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
namespace c = thresh::constituent;

namespace {

// Rows of cells: text, unless it begins with `=`, then a number.
std::string book(std::initializer_list<std::initializer_list<const char*>> rows) {
    std::string xml;
    int r = 0;
    for (const auto& row : rows) {
        xml += fmt::format("<row r=\"{}\">", ++r);
        char column = 'A';
        for (const std::string_view cell : row) {
            if (cell.starts_with('='))
                xml += fmt::format("<c r=\"{}{}\"><v>{}</v></c>", column, r, cell.substr(1));
            else if (!cell.empty())
                xml += fmt::format("<c r=\"{}{}\" t=\"inlineStr\"><is><t>{}</t></is></c>", column, r, cell);
            ++column;
        }
        xml += "</row>";
    }
    return thresh::test::make_book({.rows = xml});
}

} // namespace

TEST_CASE("among numbers of the sheet a typed decimal comma is read, and only what is open is questioned") {
    const Readings r = read(book({{"Sample", "Protein (% as is)", "Oil (% as is)", "Moisture (%)"},
                                  {"A1", "=38.125", "=20.5", "=6.125"},
                                  {"A2", "37,15", "=20.125", "6,150"},
                                  {"A3", "=36.5", "20.25", "=6.5"},
                                  {"A4", "36,9", "=0.125", "=6.25"}}));
    REQUIRE(r.rows == 4);
    CHECK(cell(r, 0, c::protein) == "38.125");
    CHECK(cell(r, 1, c::protein) == "37.15");
    CHECK(cell(r, 3, c::protein) == "36.9");
    CHECK(cell(r, 1, c::oil) == "20.125");
    CHECK(cell(r, 2, c::oil) == "20.25");
    CHECK(cell(r, 0, c::moisture) == "6.125");
    CHECK(cell(r, 1, c::moisture) == "doubtful:6,150");
    CHECK(cell(r, 3, c::moisture) == "6.25");
    std::size_t questions = 0;
    for (const IntakeNote& note : r.notes)
        questions += note.code == "decimal-doubtful" && note.doubt;
    CHECK(questions == 1);
}

TEST_CASE("a line of text is no reading, also when a spreadsheet filled it up with delimiters") {
    const Readings r =
        read("Sample,Protein (% as is),Oil (% as is)\nA1,38.1,20.5\nA2,,\nSecond tray,,\nA3,36.5,20.2\n");
    REQUIRE(r.rows == 3);
    CHECK(sample(r, 1) == "A2");
    CHECK(r.files[0].not_a_reading == 1);
}

TEST_CASE("a sheet's row of nothing but an ID is a reading without values, a line of text is none") {
    const Readings r = read(book({{"Sample", "Protein (% as is)", "Oil (% as is)"},
                                  {"A1", "=38.1", "=20.5"},
                                  {"A2"},
                                  {"Second tray"},
                                  {"A3", "=36.5", "=20.2"}}));
    REQUIRE(r.rows == 3);
    CHECK(sample(r, 1) == "A2");
    CHECK(cell(r, 1, c::protein) == "missing");
    CHECK(r.files[0].not_a_reading == 1);
}

TEST_CASE("a sheet is read like a text export whatever the file is called") {
    const Readings r = read(book({{"Week 32"},
                                  {"Sample", "Protein", "Oil", "Date"},
                                  {"", "%", "g/kg"},
                                  {"007", "=38.1", "=203", "2026-08-03"},
                                  {"A2", "=37", "NA", "2026-08-03 07:41"},
                                  {},
                                  {"Mean", "=37.55"},
                                  {"Sample", "Oleic", "Moisture"},
                                  {"A3", "=22.5", "oops"}}));
    REQUIRE_FALSE(r.files[0].refused);
    REQUIRE(r.rows == 3);
    CHECK(r.files[0].encoding == "workbook");
    CHECK(r.blocks[0].sheet == "Sheet1");
    CHECK(sample(r, 0) == "007");
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(cell(r, 0, c::oil) == "20.3");
    CHECK(time(r, 1) == "2026-08-03T07:41");
    CHECK(line(r, 0) == 4);
    CHECK(cell(r, 2, c::oleic) == "22.5");
    CHECK(cell(r, 2, c::moisture) == "unreadable:oops");
    CHECK(r.files[0].records == 5);
    CHECK(r.files[0].not_a_reading == 2);
    CHECK(r.files[0].preamble == std::vector<std::string>{"Week 32"});
    CHECK(r.rows + r.files[0].rejected + r.files[0].not_a_reading == r.files[0].records);
}

TEST_CASE("numbers kept as text with a decimal comma are numbers") {
    const Readings r =
        read(book({{"Sample", "Protein", "Oil"}, {"A1", "38,1", "=20.25"}, {"A2", "37,55", "=19.5"}}));
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(cell(r, 1, c::protein) == "37.55");
    CHECK(cell(r, 0, c::oil) == "20.25");
}

TEST_CASE("IDs that a sheet holds as long numbers keep their digits and are known as numbers") {
    const Readings r = read(book({{"Sample", "Protein", "Oil"},
                                  {"=2026010000012343", "=38.1", "=20"},
                                  {"=2026010000012341", "=37", "=20"},
                                  {"2026010000012345", "=37", "=20"},
                                  {"=12", "=37", "=20"}}));
    CHECK(sample(r, 0) == "2026010000012343");
    CHECK(sample(r, 1) == "2026010000012341");
    CHECK(r.number_ids == std::vector<std::string>{"2026010000012341", "2026010000012343"});
}

TEST_CASE("a number in a cell of dates and one of many digits are told or judged, never missing") {
    thresh::test::BookText text{
        .rows = "<row r=\"1\"><c r=\"A1\" t=\"str\"><v>Sample</v></c><c r=\"B1\" t=\"str\"><v>Protein</v></c>"
                "<c r=\"C1\" t=\"str\"><v>Oil</v></c></row>"
                "<row r=\"2\"><c r=\"A2\" t=\"str\"><v>S1</v></c><c r=\"B2\" s=\"1\"><v>36.2</v></c>"
                "<c r=\"C2\"><v>1234567890123456</v></c></row>"
                "<row r=\"3\"><c r=\"A3\" t=\"str\"><v>S2</v></c><c r=\"B3\"><v>36.2</v></c>"
                "<c r=\"C3\" s=\"1\"><v>-0.02</v></c></row>"};
    text.styles = "<xf numFmtId=\"0\"/><xf numFmtId=\"14\"/>";
    const Readings r = read(thresh::test::make_book(text));
    REQUIRE(r.rows == 2);
    CHECK(cell(r, 0, c::protein).starts_with("unreadable:1900-02-05"));
    CHECK(cell(r, 0, c::oil).starts_with("wide:1234567890123456"));
    CHECK(cell(r, 1, c::oil) != "missing");
    CHECK_FALSE(cell(r, 1, c::oil).starts_with("doubtful"));
}

TEST_CASE("a book without a table of readings and a damaged one are refused") {
    CHECK(read(book({{"a", "b"}, {"=1", "=2"}})).files[0].refused);
    CHECK(read(std::string("PK\x03\x04", 4) + "nothing").files[0].refused);
    intake::ExportOptions options;
    options.sheet = "Other";
    const Readings r = read(book({{"Sample", "Protein"}, {"A", "=38"}}), options);
    REQUIRE(r.files[0].refused);
    CHECK(r.files[0].refusal.message.find("Sheet1") != std::string::npos);
}

TEST_CASE("a list may be a workbook") {
    const auto list = intake::read_list(
        input(book({{"Genotype", "Packet"}, {"L-1", "007"}, {}, {"L-2", "=8"}}), "list.xlsx"),
        {{"sample", {"packet"}}, {"line", {"genotype"}}}, {"sample"}, {});
    REQUIRE(list);
    REQUIRE(list->rows.size() == 2);
    CHECK(list->cell(0, 0) == "007");
    CHECK(list->cell(1, 0) == "8");
    CHECK(list->cell(1, 1) == "L-2");
    CHECK(list->rows[1].line == 4);
    CHECK(list->rows[1].sheet == "Sheet1");
}

TEST_CASE("a sheet's row that ends in empty cells is not told as too short") {
    const Readings r = read(book({{"Sample", "Protein", "Oil"}, {"A1", "=38.1"}, {"A2", "=37", "=20"}}));
    REQUIRE(r.rows == 2);
    CHECK(cell(r, 0, c::oil) == "missing");
    CHECK(notes(r, "layout-doubtful").empty());
}

TEST_CASE("a hidden sheet is not read, and told unless a sheet is asked for") {
    thresh::test::Parts parts = thresh::test::book_parts(
        {.rows = "<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>Sample</t></is></c><c r=\"B1\" "
                 "t=\"inlineStr\"><is>"
                 "<t>Protein (% as is)</t></is></c></row><row r=\"2\"><c r=\"A2\" "
                 "t=\"inlineStr\"><is><t>A1</t></is>"
                 "</c><c r=\"B2\"><v>38.1</v></c></row>"});
    thresh::test::set_part(parts, "xl/workbook.xml",
                           "<workbook xmlns:r=\"x\"><sheets><sheet name=\"Data\" r:id=\"rId1\"/>"
                           "<sheet name=\"More\" state=\"hidden\" r:id=\"rId1\"/></sheets></workbook>");
    const std::string bytes = thresh::test::make_zip(parts);
    const Readings r = read(bytes);
    CHECK(r.rows == 1);
    const auto told = notes(r, "layout-doubtful");
    REQUIRE(told.size() == 1);
    CHECK(told[0].sheet == "More");
    CHECK(told[0].message.find("hidden") != std::string::npos);
    intake::ExportOptions options;
    options.sheet = "More";
    const Readings alone = read(bytes, options);
    CHECK(alone.rows == 1);
    CHECK(notes(alone, "layout-doubtful").empty());
}

TEST_CASE("cells merged down over rows are told, in exports and in lists") {
    const auto text = [](const char* at, const char* what) {
        return fmt::format("<c r=\"{}\" t=\"inlineStr\"><is><t>{}</t></is></c>", at, what);
    };
    const std::string rows = "<row r=\"1\">" + text("A1", "Instrument") + text("B1", "Sample") +
                             text("C1", "Protein") + "</row><row r=\"2\">" + text("A2", "N1") +
                             text("B2", "S1") + "<c r=\"C2\"><v>38</v></c></row><row r=\"3\">" +
                             text("B3", "S2") + "<c r=\"C3\"><v>39</v></c></row><row r=\"4\">" +
                             text("B4", "S3") + "<c r=\"C4\"><v>40</v></c></row>";
    const std::string book = thresh::test::make_book(
        {.rows = rows, .behind = "<mergeCells><mergeCell ref=\"A2:A4\"/></mergeCells>"});
    const Readings r = read(book);
    REQUIRE(r.rows == 3);
    const auto told = notes(r, "layout-doubtful");
    REQUIRE(told.size() == 1);
    CHECK(told[0].doubt);
    CHECK(told[0].line == 3);
    CHECK(told[0].column == 1);
    CHECK(told[0].sheet == "Sheet1");
    CHECK(told[0].message == "2 cells are merged with those above and taken as blank; the first, under "
                             "`Instrument`, stands below `N1`");
    const auto list = intake::read_list(input(book), {{"sample", {}}}, {"sample"}, {});
    REQUIRE(list);
    REQUIRE(list->notes.size() == 1);
    CHECK(list->notes[0].message == told[0].message);
    CHECK(notes(read(thresh::test::make_book({.rows = rows})), "layout-doubtful").empty());
}

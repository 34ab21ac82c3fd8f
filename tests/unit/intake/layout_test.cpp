#include "unit/intake/reading_help.hpp"

#include <thresh/core/utf8.hpp>

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
namespace c = thresh::constituent;

namespace {

std::string utf16(std::string_view ascii, bool big, bool mark) {
    std::string bytes = !mark ? "" : big ? "\xFE\xFF" : "\xFF\xFE";
    for (const char ch : ascii) {
        const auto byte = static_cast<unsigned char>(ch); // Latin-1
        bytes.push_back(big ? '\0' : static_cast<char>(byte));
        bytes.push_back(big ? static_cast<char>(byte) : '\0');
    }
    return bytes;
}

void check_plain(const Readings& r) {
    REQUIRE(r.rows == 2);
    CHECK(sample(r, 0) == "A1");
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(cell(r, 0, c::oil) == "20.25");
    CHECK(cell(r, 1, c::protein) == "37.0");
}

const char* const kSemicolon =
    "Probe;Protein (% TS);\xD6l;Bediener\nA1;38,1;20,25;J\xFCrgen\nA2;37,0;19,5;x\n";

} // namespace

TEST_CASE("every encoding is told apart and read") {
    Readings r = read(kSemicolon);
    check_plain(r);
    CHECK(r.files[0].encoding == "Windows-1252");
    CHECK(text(r, 0, TextField::operator_) == "J\xC3\xBCrgen");
    CHECK(notes(r, "text-repaired").size() == 1);
    for (const bool big : {false, true})
        for (const bool mark : {false, true}) {
            r = read(utf16(kSemicolon, big, mark));
            check_plain(r);
            CHECK(r.files[0].encoding == (big ? "UTF-16BE" : "UTF-16LE"));
            CHECK(text(r, 0, TextField::operator_) == "J\xC3\xBCrgen");
            CHECK(notes(r, "text-repaired").empty());
        }
}

TEST_CASE("a few stray bytes in UTF-8 are repaired with a note that names the line") {
    const Readings r = read("Sample;Protein;Operator\nA1;38,1;J\xC3\xBCrgen "
                            "\xC3\xA4\xC3\xB6\xC3\xBC\xC3\x9F\nA2;37,0;J\xFCrgen\n");
    CHECK(r.files[0].encoding == "UTF-8");
    CHECK(text(r, 1, TextField::operator_) == "J\xC3\xBCrgen");
    REQUIRE(notes(r, "text-repaired").size() == 1);
    CHECK(notes(r, "text-repaired")[0].line == 3);
}

TEST_CASE("an encoding that is given is used and one that is unknown is refused") {
    intake::ExportOptions options;
    options.encoding = "windows-1252";
    const Readings r = read("Sample,Protein,Operator\nA,38,\xC3\xA4\n", options);
    CHECK(text(r, 0, TextField::operator_) == "\xC3\x83\xC2\xA4");
    options.encoding = "klingon";
    CHECK(read("Sample,Protein\nA,38\n", options).files[0].refused);
}

TEST_CASE("all line ends end a record and lines are counted") {
    for (const char* end : {"\n", "\r\n", "\r"}) {
        const std::string e = end;
        const Readings r = read("Sample,Protein,Oil" + e + "A1,38.1,20.25" + e + "A2,37.0,19.5" + e);
        check_plain(r);
        CHECK(line(r, 1) == 3);
    }
    const Readings r = read("Sample,Protein,Oil\r\nA1,38.1,20.25\rA2,37.0,19.5");
    check_plain(r);
    CHECK(line(r, 1) == 3);
}

TEST_CASE("delimiter and decimal mark are found together") {
    for (const char delimiter : {',', ';', '\t', '|'}) {
        std::string text = "Sample;Protein;Oil\nA1;38.1;20.25\nA2;37.0;19.5\n";
        std::replace(text.begin(), text.end(), ';', delimiter);
        check_plain(read(text));
        if (delimiter == ',')
            continue;
        std::replace(text.begin(), text.end(), '.', ',');
        const Readings r = read(text);
        check_plain(r);
        CHECK(notes(r, "decimal-doubtful").empty());
        CHECK(notes(r, "layout-doubtful").empty());
    }
    check_plain(read("Sample,Protein,Oil\n\"A1\",\"38,1\",\"20,25\"\n\"A2\",\"37,0\",\"19,5\"\n"));
}

TEST_CASE("a sep line names the delimiter and is counted as skipped") {
    const Readings r = read("sep=;\r\nSample;Protein;Oil\r\nA1;38,1;20,25\r\nA2;37,0;19,5\r\n");
    check_plain(r);
    CHECK(line(r, 0) == 3);
    CHECK(r.files[0].lines_skipped == 1);
}

TEST_CASE("the preamble is kept and commas in it do not choose the delimiter") {
    const Readings r = read("Report, week 32, of the lab, in 2026\nOperator: X, "
                            "Y\n\nSample;Protein;Oil\nA1;38,1;20,25\nA2;37,0;19,5\n");
    check_plain(r);
    CHECK(r.files[0].preamble ==
          std::vector<std::string>{"Report, week 32, of the lab, in 2026", "Operator: X, Y"});
    CHECK(r.files[0].lines_skipped == 3);
    CHECK(line(r, 0) == 5);
}

TEST_CASE("a units row gives its units and is no reading") {
    const Readings r = read("Sample,Protein,Oil\n,g/kg,% DM\nA1,381,20.25\nA2,370,19.5\n");
    REQUIRE(r.rows == 2);
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(cell(r, 0, c::oil) == "20.25");
    CHECK(r.blocks[0].table->numbers[1].basis == Basis::dry());
    CHECK(r.files[0].not_a_reading == 1);
    CHECK(r.files[0].records == 3);
}

TEST_CASE("a heading over two rows is joined") {
    const Readings r = read("Sample,Crude,Oil\nID,Protein,(% DM)\nA1,38.1,20.25\nA2,37.0,19.5\n");
    check_plain(r);
    CHECK(r.blocks[0].table->numbers[0].heading == "Crude Protein");
    CHECK(r.files[0].records == 2);
    const Readings grouped =
        read(",As is,,Dry\nSample,Moisture,Protein,Oil\nA1,7,38.1,20.25\nA2,7,37.0,19.5\n");
    check_plain(grouped);
    CHECK(grouped.blocks[0].table->numbers[1].basis == Basis::as_is());
    CHECK(grouped.blocks[0].table->numbers[2].basis == Basis::dry());
}

TEST_CASE("several tables in one sheet are each read under their own heading") {
    const Readings r = read("Sample,Protein,Oil\nA1,38.1,20.25\nA2,37.0,19.5\n\nFatty "
                            "acids\nSample,Oleic,Linoleic,Moisture\nA1,22.5,54.1,7\n");
    REQUIRE(r.rows == 3);
    REQUIRE(r.blocks.size() == 2);
    CHECK(cell(r, 2, c::oleic) == "22.5");
    CHECK(cell(r, 2, c::protein) == "none");
    CHECK(line(r, 2) == 7);
    CHECK(r.files[0].not_a_reading == 1);
    CHECK(r.files[0].records == 4);
    CHECK(r.files[0].lines_skipped == 1);
}

TEST_CASE("trailing delimiters are no column") {
    check_plain(read("Sample;Protein;Oil;\nA1;38,1;20,25;\nA2;37,0;19,5;\n"));
    const Readings r = read("Sample;Protein;Oil\nA1;38,1;20,25;\nA2;37,0;19,5;\n");
    check_plain(r);
    CHECK(notes(r, "layout-doubtful").empty());
}

TEST_CASE("short rows are padded and told and long ones rejected word for word") {
    const Readings r = read("Sample,Protein,Oil\nA1,38.1,20.25\nA2,37.0\nA3,36,20,x\nA4,36,20,,\n");
    REQUIRE(r.rows == 3);
    CHECK(cell(r, 1, c::oil) == "missing");
    REQUIRE(notes(r, "layout-doubtful").size() == 1);
    CHECK(notes(r, "layout-doubtful")[0].line == 3);
    REQUIRE(r.rejected.size() == 1);
    CHECK(r.rejected[0].record == "A3,36,20,x");
}

TEST_CASE("a repeated heading with the same data is told and with other data is doubtful") {
    Readings r = read("Sample,Protein,Oil,Protein\nA1,38.1,20.25,38.10\nA2,37.0,19.5,37\n");
    check_plain(r);
    REQUIRE(notes(r, "heading-repeated").size() == 1);
    CHECK_FALSE(notes(r, "heading-repeated")[0].doubt);
    r = read("Sample,Protein,Oil,Protein\nA1,38.1,20.25,38.2\n");
    CHECK(cell(r, 0, c::protein) == "doubtful:38.1");
    CHECK(cell(r, 0, c::oil) == "20.25");
    REQUIRE(notes(r, "heading-repeated").size() == 1);
    CHECK(notes(r, "heading-repeated")[0].doubt);
    CHECK(notes(r, "heading-repeated")[0].message.find("column 4") != std::string::npos);
    // `ignore` goes by headings and would leave out both.
    CHECK(notes(r, "heading-repeated")[0].help ==
          "rename one of the columns `Protein` in a copy of the export");
    r = read("Sample,Protein,Oil,Crude protein\nA1,38.1,20.25,38.2\n");
    REQUIRE(notes(r, "heading-repeated").size() == 1);
    CHECK(notes(r, "heading-repeated")[0].help ==
          "in the rules file: \"columns\": { \"ignore\": [\"Crude protein\"] }");
}

TEST_CASE("of two columns for one constituent or text the one that the rules file names is used") {
    intake::ExportOptions options;
    intake::ColumnRule protein, sample, time;
    protein.headings = {"Protein"};
    protein.constituent = c::protein;
    sample.headings = {"Packet"};
    sample.field = TextField::sample;
    time.headings = {"Read at"};
    time.time = true;
    options.columns = {protein, sample, time};
    const Readings r = read("Sample,Packet,Read at,Time,Protein (%),Protein\n"
                            "S1,P1,2026-10-05,07:41,30.1,38.1\n",
                            options);
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(intake_test::sample(r, 0) == "P1");
    CHECK(intake_test::time(r, 0) == "2026-10-05T07:41"); // a clock beside the date named
    REQUIRE(notes(r, "heading-repeated").size() == 2);
    CHECK_FALSE(notes(r, "heading-repeated")[1].doubt);
    CHECK(notes(r, "heading-repeated")[1].message ==
          "`Protein (%)` (column 5) is not used: the rules file names `Protein` (column 6) for it");
}

TEST_CASE("more dates than one are told with a way out that leaves the one in use") {
    const auto helps = [](const std::string& headings) {
        std::vector<std::string> found;
        for (const IntakeNote& note :
             notes(read(headings + "\nA1,2026-10-05,2026-10-06,2026-10-07,38.1\n"), "heading-repeated"))
            found.push_back(note.help);
        return found;
    };
    const std::string rename = "rename one of the columns `Date` in a copy of the export";
    const std::string ignore = "in the rules file: \"columns\": { \"ignore\": [";
    CHECK(helps("Sample,Date,Date,Date,Protein") ==
          std::vector<std::string>{"to use the other, " + rename, rename});
    CHECK(
        helps("Sample,Date,Time,Date time,Protein") ==
        std::vector<std::string>{"to use the other, " + ignore + "\"Date\"] }", ignore + "\"Date time\"] }"});
}

TEST_CASE("a quote that never closes costs one line and says where it opened") {
    const Readings r = read("Sample,Protein,Oil\nA1,38.1,20.25\nA2,\"37.0,19.5\nA3,36,19\nA4,35,18\n");
    CHECK(r.rows == 3);
    REQUIRE(r.rejected.size() == 1);
    CHECK(r.rejected[0].line == 3);
    CHECK(r.rejected[0].reason.find("character 4") != std::string::npos);
    CHECK(sample(r, 1) == "A3");
}

TEST_CASE("a cell whose quote closes too far down is not said to stay open") {
    const std::string cell(300 * 1024, 'x');
    std::string text = "Sample,Protein,Remark\nA1,38.1,\"" + cell + "\"\n";
    for (int i = 0; i < 20; ++i)
        text += "A2,37.0,\"y\"\n";
    const Readings r = read(text);
    CHECK(r.rows == 20);
    REQUIRE(r.rejected.size() == 1);
    CHECK(r.rejected[0].reason == "a quote opened at character 9 is not closed within 200 lines and 256 KiB");
}

TEST_CASE("a text shown in a message is cut between characters") {
    std::string remark;
    for (int i = 0; i < 60; ++i)
        remark += "\xC3\xBC";
    for (const char* before : {"", "a"}) {
        const Readings r = read("Sample,Protein,Oil,Remark\nA1,38.1,20,\n" + (before + remark) + ",\n");
        REQUIRE(notes(r, "layout-doubtful").size() == 1);
        const std::string message = notes(r, "layout-doubtful")[0].message;
        CHECK(valid_utf8(message) == message);
    }
}

TEST_CASE("a quote inside a cell is a character") {
    const Readings r = read("Sample,Protein,Operator\n5\" tray,38.1,x\n\"A\"2,37,y\n");
    REQUIRE(r.rows == 2);
    CHECK(sample(r, 0) == "5\" tray");
    CHECK(sample(r, 1) == "A2");
    CHECK(notes(r, "layout-doubtful").size() == 1);
}

TEST_CASE("what is given is not overridden") {
    intake::ExportOptions options;
    options.delimiter = ';';
    CHECK(read("Sample,Protein\nA,38\n", options).files[0].refused);
    options = {};
    options.header_row = 3;
    const Readings r = read("Sample,Protein\nA,38\nSample,Oil\nB,20\n", options);
    REQUIRE(r.rows == 1);
    CHECK(cell(r, 0, c::oil) == "20");
    options.header_row = 99;
    CHECK(read("Sample,Protein\nA,38\n", options).files[0].refused);
}

TEST_CASE("garbage is refused and never crashes") {
    std::string noise;
    std::uint32_t state = 1;
    for (int i = 0; i < 100000; ++i) {
        state = state * 1664525 + 1013904223;
        noise.push_back(static_cast<char>(state >> 24));
    }
    CHECK(read(noise).files[0].refused);
    CHECK(read(std::string(1000, '\0')).files[0].refused);
    CHECK(read("\"\"\"\"\"").files[0].refused);
    CHECK(read(",,,,\n;;;;\n").files[0].refused);
}

TEST_CASE("a NUL byte costs its row") {
    const Readings r = read(std::string("Sample,Protein,Oil\nA1,38.1,20.25\nA\0x,37,19\nA2,37.0,19.5\n", 56));
    check_plain(r);
    CHECK(r.rejected.size() == 1);
}

TEST_CASE("a hundred thousand columns are read") {
    std::string heading = "Sample,Protein,Oil", row = "A1,38.1,20.25", next = "A2,37.0,19.5";
    for (int i = 0; i < 100000; ++i) {
        heading += ",w" + std::to_string(i);
        row += ",1";
        next += ",2";
    }
    check_plain(read(heading + "\n" + row + "\n" + next + "\n"));
}

// Which rows are headings: a table above another, group headings and how far they reach, rows of units.
#include "unit/intake/reading_help.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
namespace c = thresh::constituent;

namespace {

std::string basis(const Readings& r, ConstituentId id) {
    const auto column = r.blocks.back().table->find(id);
    return column ? to_text(r.blocks.back().table->numbers[*column].basis) : "none";
}

// Headings of the columns that a group further left was taken to reach.
std::vector<std::string> guessed(const Readings& r) {
    std::vector<std::string> found;
    for (const IntakeNote& note : notes(r, "basis-assumed"))
        if (note.message.find("which is taken to reach so far") != std::string::npos)
            found.push_back(note.heading);
    return found;
}

} // namespace

TEST_CASE("a table above a heading that says more is read as well") {
    for (const char* between : {"\n", ""}) {
        const Readings r = read("Sample ID,Protein (%)\nS1,36.11\nS2,36.12\n" + std::string(between) +
                                "Date,Sample ID,Moisture (%),Protein (%),Oil (%),Fiber (%)\n"
                                "2026-08-03,S98,6.5,36.2,19.3,4.5\n");
        REQUIRE(r.rows == 3);
        CHECK(cell(r, 1, c::protein) == "36.12");
        CHECK(cell(r, 2, c::oil) == "19.3");
        CHECK(notes(r, "layout-doubtful").empty());
        CHECK(r.files[0].preamble.empty());
    }
}

TEST_CASE("what may be a table above the heading is told where it is not sure") {
    const char* const tables[] = {
        // no sample
        "Protein,Oil\n36,19\n\nDate,Sample ID,Moisture (%),Protein (%),Oil (%),Fiber (%)\n"
        "2026-08-03,S98,6.5,36.2,19.3,4.5\n",
        // text between the tables
        "Sample ID,Protein (%)\nS1,36.11\nSecond part\n"
        "Date,Sample ID,Moisture (%),Protein (%),Oil (%),Fiber (%)\n2026-08-03,S98,6.5,36.2,19.3,4.5\n"};
    for (const char* text : tables) {
        const Readings r = read(text);
        REQUIRE(r.rows == 1);
        const auto told = notes(r, "layout-doubtful");
        REQUIRE(told.size() == 1);
        CHECK(told[0].doubt);
        CHECK(told[0].line == 1);
        CHECK(told[0].help.find("--header-row 1") != std::string::npos);
    }
}

TEST_CASE("a table above with another delimiter is told with that delimiter") {
    std::string text = "Date time,Sample ID,Moisture (%),Protein (%),Oil (%)\n";
    for (int i = 0; i < 30; ++i)
        text += fmt::format("2026-08-03 07:{},S{},6.5,36.2,19.3\n", 10 + i, i);
    const Readings r = read(text + "\nDate time;Sample ID;Oil (%);Moisture (%);Protein (%);Fiber (%)\n"
                                   "2026-08-03 08:00;S98;19,3;6,5;36,2;4,5\n");
    REQUIRE(r.rows == 1);
    const auto told = notes(r, "layout-doubtful");
    REQUIRE(told.size() == 1);
    CHECK(told[0].help.find("--header-row 1 --delimiter ',' begins with it") != std::string::npos);
}

TEST_CASE("a preamble without numbers below its words is no table") {
    const Readings r =
        read("Sample,Protein\nseed,as usual\n\nDate,Sample ID,Moisture (%),Protein (%),Oil (%)\n"
             "2026-08-03,S98,6.5,36.2,19.3\n");
    REQUIRE(r.rows == 1);
    CHECK(notes(r, "layout-doubtful").empty());
}

TEST_CASE("a group heading is told where it was taken to reach over blanks") {
    const Readings r =
        read(",,,dry basis,,\nDate,Sample,Moisture,Protein,Oil,Remark\n2026-08-03,S1,6,36,19,x\n");
    CHECK(basis(r, c::oil) == "dry");
    CHECK(guessed(r) == std::vector<std::string>{"Oil (dry basis)"});
    // The first reaches up to the second.
    const Readings two = read(",As is,,Dry,\nSample,Moisture,Protein,Oil,Fiber\nS1,6,36,19,5\n");
    CHECK(basis(two, c::protein) == "as-is");
    CHECK(guessed(two) == std::vector<std::string>{"Fiber (Dry)"});
}

TEST_CASE("a merged group heading reaches as far as its cells") {
    const auto text = [](const char* place, const char* cell) {
        return fmt::format("<c r=\"{}\" t=\"inlineStr\"><is><t>{}</t></is></c>", place, cell);
    };
    const std::string rows = "<row r=\"1\">" + text("C1", "dry basis") + "</row><row r=\"2\">" +
                             text("A2", "Sample") + text("B2", "Moisture") + text("C2", "Protein") +
                             text("D2", "Oil") + text("E2", "Fiber") + "</row><row r=\"3\">" +
                             text("A3", "S1") +
                             "<c r=\"B3\"><v>6</v></c><c r=\"C3\"><v>36</v></c><c r=\"D3\"><v>19</v></c><c "
                             "r=\"E3\"><v>5</v></c></row>";
    const Readings merged = read(
        test::make_book({.rows = rows, .behind = "<mergeCells><mergeCell ref=\"C1:D1\"/></mergeCells>"}));
    CHECK(basis(merged, c::protein) == "dry");
    CHECK(basis(merged, c::oil) == "dry");
    CHECK(basis(merged, c::fiber) == to_text(Basis{}));
    CHECK(guessed(merged).empty());
    const Readings typed = read(test::make_book({.rows = rows})); // not merged: nothing says how far
    CHECK(basis(typed, c::fiber) == "dry");
    CHECK(guessed(typed).size() == 2);
}

TEST_CASE("a second row of units may state the basis") {
    const Readings r =
        read("Sample,Moisture,Protein,Oil\n,[%],[g/kg],[%]\n,as-is,dry,dry\nS1,6.51,361,19.3\n");
    REQUIRE(r.rows == 1);
    CHECK(cell(r, 0, c::protein) == "36.1");
    CHECK(basis(r, c::protein) == "dry");
    CHECK(basis(r, c::oil) == "dry");
    CHECK(r.files[0].not_a_reading == 2);
    CHECK(notes(r, "basis-assumed").empty());
}

TEST_CASE("a group heading may state the basis before its unit in brackets") {
    const Readings r =
        read(",,NIR as-is (%),NIR dry matter (%)\nSample,Remark,Protein,Oil\nS1,x,36.2,19.3\n");
    CHECK(basis(r, c::protein) == "as-is");
    CHECK(basis(r, c::oil) == "dry");
    const Readings twice =
        read(",NIR as-is (%),NIR dry matter (%),\nSample,Protein,Protein,Oil\nS1,36.2,38.7,20.1\n");
    CHECK(basis(twice, c::protein) == "as-is");
    CHECK(cell(twice, 0, c::protein) == "36.2");
    REQUIRE(notes(twice, "heading-repeated").size() == 1);
    CHECK_FALSE(notes(twice, "heading-repeated")[0].doubt);
}

TEST_CASE("other units below a heading that comes again hold from there on") {
    const std::string first = "Sample ID,Protein,Moisture\n,% DM,%\nA1,41.1,6.5\nA2,42.1,6.6\n\n";
    const Readings r = read(first + "Sample ID,Protein,Moisture\n,% as is,%\nB1,38.1,6.5\nB2,39.1,6.6\n");
    REQUIRE(r.blocks.size() == 2);
    CHECK(r.blocks[0].table->numbers[0].basis == Basis::dry());
    CHECK(r.blocks[1].table->numbers[0].basis == Basis::as_is());
    CHECK(sample(r, 2) == "B1");
    CHECK(cell(r, 3, constituent::protein) == "39.1");
    CHECK(line(r, 2) == 8);
    const Readings grams = read(first + "Sample ID,Protein,Moisture\n,g/kg DM,%\nB1,381,6.5\nB2,391,6.6\n");
    CHECK(cell(grams, 2, constituent::protein) == "38.1");
    // The first units once more.
    const Readings again = read(first + "Sample ID,Protein,Moisture\n,% as is,%\nB1,38.1,6.5\n" +
                                "Sample ID,Protein,Moisture\n,% DM,%\nC1,41.2,6.6\n");
    REQUIRE(again.blocks.size() == 3);
    CHECK(again.blocks[2].table->numbers[0].basis == Basis::dry());
    const Readings same = read(first + "Sample ID,Protein,Moisture\n,% DM,%\nB1,41.1,6.5\n");
    CHECK(same.blocks.size() == 1);
    CHECK(same.files[0].not_a_reading == 3);
}

TEST_CASE("another group above a heading that comes again holds from there on") {
    const std::string names = "Sample ID,Protein,Oil,Moisture\n";
    const std::string first = ",Composition (% DM),,\n" + names + "A1,41.1,20.1,6.5\n\n";
    const Readings r = read(first + ",Composition (% as is),,\n" + names + "B1,38.1,18.5,6.5\n");
    REQUIRE(r.blocks.size() == 2);
    CHECK(r.blocks[0].table->numbers[0].basis == Basis::dry());
    CHECK(r.blocks[1].table->numbers[0].basis == Basis::as_is());
    CHECK(sample(r, 1) == "B1");
    CHECK(cell(r, 1, constituent::oil) == "18.5");
    const Readings same = read(first + ",Composition (% DM),,\n" + names + "B1,41.1,20.1,6.5\n");
    CHECK(same.blocks.size() == 1);
    // Words alone are no heading.
    const Readings words = read(first + ",Composition (% as is),,\nB1,41.1,20.1,6.5\n");
    REQUIRE(words.blocks.size() == 2);
    CHECK(words.blocks[1].table->numbers[0].basis == Basis::dry());
}

TEST_CASE("a key and its value above a blank heading are no heading") {
    for (const char* line : {"Instrument,NIR-7", "Operator,Anna", "Date,2026-10-04", "Instrument,NIR-7,,",
                             "Instrument,NIR-7,,Operator,Anna"}) {
        INFO(line);
        const Readings r = read(std::string(line) + "\n,Sample ID,Moisture (%),,Protein (% as is)\n" +
                                "1,A1,6.5,,36.1\n2,A2,6.6,,37.2\n");
        REQUIRE(r.rows == 2);
        CHECK(text(r, 0, TextField::instrument).empty());
        CHECK(text(r, 0, TextField::operator_).empty());
        CHECK(time(r, 0).empty());
        CHECK(r.files[0].preamble.size() == 1);
    }
    // What says something of the columns below is part of the heading, and so is the sample's own name.
    const Readings group = read("Sample ID,Composition (% DM),\n,Protein,Oil\nA1,36.1,20.1\n");
    CHECK(sample(group, 0) == "A1");
    CHECK(basis(group, c::protein) == "dry");
    CHECK(sample(read("Sample ID,NIR,\n,Protein (%),Oil (%)\nA1,36.1,20.1\n"), 0) == "A1");
}

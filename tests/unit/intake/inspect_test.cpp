#include "unit/intake/reading_help.hpp"

#include <thresh/intake/inspect.hpp>

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh::intake;

TEST_CASE("inspect says every decision with what pins it") {
    const Inspection found =
        inspect(input("Sample;Date;Protein (% DM);Oil;Remark\nA;13/8/2026;38,1;20;x\nB;1;2;3;4;5;6;7\n"),
                table(), {});
    const auto decision = [&](std::string_view what) {
        for (const Decision& d : found.decisions)
            if (d.what == what)
                return d.chosen + "|" + d.option + (d.given ? "|given" : "|found");
        return std::string("none");
    };
    CHECK(decision("encoding") == "UTF-8|--encoding UTF-8|found");
    CHECK(decision("delimiter") == ";|--delimiter ';'|found");
    CHECK(decision("decimal mark") == ",|--decimal ,|found");
    CHECK(decision("heading row") == "1|--header-row 1|found");
    CHECK(decision("date format") == "dmy|--date-format dmy|found");
    CHECK(decision("basis") == "as-is|--assume-basis as-is|found");
    REQUIRE(found.tables.size() == 1);
    REQUIRE(found.tables[0].columns.size() == 5);
    CHECK(found.tables[0].readings == 1);
    CHECK(found.tables[0].columns[2].meaning == "protein");
    CHECK(found.tables[0].columns[2].basis == "dry");
    CHECK(found.tables[0].columns[4].meaning.empty());
    CHECK(found.rejected.size() == 1);
    CHECK_FALSE(found.file.refused);
}

TEST_CASE("inspect of what cannot be read says why") {
    CHECK(inspect(input("a,b\n1,2\n"), table(), {}).file.refused);
}

TEST_CASE("given options are shown as given and give the same reading") {
    const std::string text = "Sample;Date;Protein;Oil\nA;13/8/2026;38,1;20\n";
    ExportOptions options;
    options.delimiter = ';';
    options.decimal = ',';
    options.encoding = "UTF-8";
    options.header_row = 1;
    options.date_format = DateFormat::dmy;
    const Inspection found = inspect(input(text), table(), options);
    for (const Decision& decision : found.decisions)
        if (decision.what != "basis" && decision.what != "quote")
            CHECK(decision.given);
    CHECK(found.tables[0].readings == 1);
}

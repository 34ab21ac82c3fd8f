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

TEST_CASE("inspect counts what the cells of a column hold and shows the first that cannot be read") {
    const Inspection found = inspect(
        input("Sample;Protein (% as is)\r\nA;38,1\r\nB;<0,5\r\nC;NA\r\nD;38,,1\r\nE;\"x\"\nF;37,2\r\n"),
        table(), {});
    REQUIRE(found.tables.size() == 1);
    const ColumnMeaning& protein = found.tables[0].columns[1];
    CHECK(protein.numbers == 2);
    CHECK(protein.below_limit == 1);
    CHECK(protein.missing == 1);
    CHECK(protein.unreadable == 2);
    CHECK(protein.unreadable_line == 5);
    CHECK(protein.unreadable_text == "38,,1");
    for (const Decision& decision : found.decisions)
        if (decision.what == "line ends")
            CHECK(decision.chosen == "mixed: 1 LF, 6 CRLF, 0 CR");
}

TEST_CASE("of two tables in a text only that whose decimal mark is open is shown so") {
    const Inspection found = inspect(input("Sample;Protein (% as is)\nA;38,1\nB;37,2\n\n"
                                           "Sample;Protein (% as is);Oil (% as is)\n"
                                           "C;38.105;20,5\nD;37.221;20,1\n\n"
                                           "Sample;Protein (% as is);Ash (% as is)\nE;38,4;4,9\n"),
                                     table(), {});
    REQUIRE(found.tables.size() == 3);
    CHECK(found.tables[0].columns[1].decimal == ",");
    CHECK(found.tables[1].columns[1].decimal == "?");
    CHECK(found.tables[1].columns[2].decimal == ",");
    CHECK(found.tables[2].columns[1].decimal == ",");
    std::vector<std::string> marks;
    for (const Decision& decision : found.decisions)
        if (decision.what == "decimal mark")
            marks.push_back(decision.chosen);
    CHECK(marks == std::vector<std::string>{",", "", ","});
}

TEST_CASE("the rules that inspect shows name each meaning once with all its headings") {
    const Inspection found = inspect(input("Sample,\"Protein \"\"x\"\" (% DM)\",Oleic\nA,38.1,22\n"
                                           "Sample,Protein (% DM),Oleic (% of sample)\nB,37.1,4.4\n"),
                                     table(), {});
    CHECK(found.rules ==
          "\"columns\": {\n  \"sample\": { \"headings\": [\"Sample\"] },\n"
          "  \"oleic\": { \"headings\": [\"Oleic\"], \"part_of\": \"oil\" },\n"
          "  \"protein\": { \"headings\": [\"Protein (% DM)\"], \"part_of\": \"sample\", \"basis\": "
          "\"dry\" }\n}");
    CHECK(inspect(input("Sample,Protein [blips]\nA,38.1\n"), table(), {}).rules.find("protein") ==
          std::string::npos); // its unit is open
}

TEST_CASE("inspect pins what all tables have in common") {
    const Inspection found = inspect(input("Date,Sample,Protein (% DM)\n8/13/2026,S1,36.2\n\n"
                                           "Sample,Date,Protein (% DM),Oil (% DM)\nS2,23/8/2026,36.2,19\n"),
                                     table(), {});
    REQUIRE(found.tables.size() == 2);
    CHECK(found.options == "--encoding UTF-8 --delimiter ',' --header-row 1 --decimal .");
}

TEST_CASE("inspect shows months by name as decided") {
    const Inspection found = inspect(input("Date,Sample,Protein (% DM)\n3-Aug-2026,S1,36.2\n"), table(), {});
    for (const Decision& d : found.decisions)
        if (d.what == "date format")
            CHECK(d.chosen + "|" + d.why + "|" + d.option == "any|months by name|");
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
        if (decision.what != "basis" && decision.what != "quote" && decision.what != "line ends")
            CHECK(decision.given);
    CHECK(found.tables[0].readings == 1);
}

#include "unit/intake/reading_help.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
namespace c = thresh::constituent;

TEST_CASE("a plain export is read with every digit, its places and its texts") {
    const Readings r = read("Sample,Time,Protein (% DM),Oil,Moisture\n"
                            "0017,2026-08-03T07:41,38.10,20.5,6.2\n"
                            "A2,2026-08-03 07:42:10,-0.2,,7\n");
    REQUIRE(r.rows == 2);
    REQUIRE(r.blocks.size() == 1);
    CHECK(cell(r, 0, c::protein) == "38.10");
    CHECK(cell(r, 0, c::oil) == "20.5");
    CHECK(cell(r, 1, c::protein) == "-0.2");
    CHECK(cell(r, 1, c::oil) == "missing");
    CHECK(cell(r, 1, c::moisture) == "7");
    CHECK(sample(r, 0) == "0017");
    CHECK(time(r, 0) == "2026-08-03T07:41");
    CHECK(time(r, 1) == "2026-08-03T07:42:10");
    CHECK(line(r, 0) == 2);
    CHECK(line(r, 1) == 3);
    const TableColumns& t = *r.blocks[0].table;
    CHECK(t.numbers[*t.find(c::protein)].basis == Basis::dry());
    CHECK(t.numbers[*t.find(c::oil)].basis.kind == Basis::Kind::not_stated);
    CHECK(r.files[0].records == 2);
    CHECK(r.files[0].encoding == "UTF-8");
    CHECK(r.files[0].delimiter == ",");
    CHECK(notes(r, "basis-assumed").size() == 1);
    CHECK(notes(r, "basis-assumed")[0].heading == "Oil");
}

TEST_CASE("quoted cells may hold delimiters, doubled quotes and line breaks") {
    const Readings r = read("\xEF\xBB\xBF\"Sample\",\"Protein\r\n(%)\",Operator\r\n"
                            "\"a,1\",\"38.1\",\"say \"\"x\"\"\"\r\n"
                            "\"b\r\n2\",37,\r\n"
                            "c,36,z\r\n");
    REQUIRE(r.rows == 3);
    CHECK(sample(r, 0) == "a,1");
    CHECK(text(r, 0, TextField::operator_) == "say \"x\"");
    CHECK(sample(r, 1) == "b 2");
    CHECK(line(r, 0) == 3);
    CHECK(line(r, 1) == 4);
    CHECK(line(r, 2) == 6);
    CHECK(r.blocks[0].table->numbers[0].heading == "Protein (%)");
}

TEST_CASE("missing marks stay missing and what is no number is kept word for word") {
    const Readings r = read("Sample,Protein,Oil\nA,NA,<0.05\nB,n/a,#DIV/0!\nC,-,oops\nD,ND,1.5e1\n"
                            "E,38.123456789,20.5\n");
    REQUIRE(r.rows == 5);
    for (std::size_t row = 0; row < 4; ++row)
        CHECK(cell(r, row, c::protein) == "missing");
    CHECK(cell(r, 0, c::oil) == "below:0.05");
    CHECK(cell(r, 1, c::oil) == "unreadable:#DIV/0!");
    CHECK(cell(r, 2, c::oil) == "unreadable:oops");
    CHECK(cell(r, 3, c::oil) == "15");
    CHECK(cell(r, 4, c::protein) == "wide:38.123456789");
}

TEST_CASE("rows are counted once each, whatever they are") {
    const Readings r = read("Week 32\n\nSample,Protein,Oil\n,%,%\nA,38,20\nB,37\nC,36,20,9\n\nend of report\n"
                            "Mean,37.5,20\nSD,0.5,0\nSample,Protein,Oil\nD,35,19,\n");
    CHECK(r.files[0].records == 9);
    CHECK(r.rows == 3);
    CHECK(r.files[0].rejected == 1);
    CHECK(r.files[0].not_a_reading == 5);
    CHECK(r.files[0].lines_skipped == 3);
    CHECK(r.rows + r.files[0].rejected + r.files[0].not_a_reading == r.files[0].records);
    REQUIRE(r.rejected.size() == 1);
    CHECK(r.rejected[0].record == "C,36,20,9");
    CHECK(r.rejected[0].line == 7);
    CHECK(cell(r, 1, c::oil) == "missing");
    CHECK(sample(r, 2) == "D");
    REQUIRE(r.files[0].preamble.size() == 1);
    CHECK(r.files[0].preamble[0] == "Week 32");
    CHECK(r.blocks[0].table->numbers[0].unit == "%");
}

TEST_CASE("headings that are not known are listed, mapped by rules or ignored") {
    intake::ExportOptions options;
    const std::string text = "Sample,Prot NIR,Remark 1,Oil\nA,38,x,20\n";
    Readings r = read(text, options);
    CHECK(notes(r, "heading-unknown").size() == 2);
    CHECK(r.blocks[0].table->unknown.size() == 2);
    intake::ColumnRule rule;
    rule.headings = {"prot*"};
    rule.constituent = c::protein;
    rule.basis = Basis::at(13);
    options.columns.push_back(rule);
    options.ignore = {"Remark*"};
    r = read(text, options);
    CHECK(notes(r, "heading-unknown").empty());
    CHECK(cell(r, 0, c::protein) == "38");
    CHECK(r.blocks[0].table->numbers[0].basis == Basis::at(13));
    CHECK(r.blocks[0].table->numbers[0].basis_given);
}

TEST_CASE("inputs that cannot be read are refused with a reason and the others go on") {
    std::vector<intake::Input> inputs = {input("", "empty.csv"),
                                         input("Sample,Protein\nA,38\n", "good.csv"),
                                         input("a,b\n1,2\n", "nothing.csv"),
                                         input("Sample,Remark\nA,x\n", "none.csv"),
                                         {"gone.csv", nullptr, {"cannot be opened", "", "", 0, 0}}};
    const Readings r = intake::read_exports(inputs, table(), {});
    CHECK(r.rows == 1);
    REQUIRE(r.files.size() == 5);
    for (const SourceFile& file : r.files)
        CHECK(file.refused == (file.source != "good.csv"));
    CHECK(notes(r, "file-refused").size() == 4);
}

TEST_CASE("a file with headings and no reading is read, and told") {
    for (const char* text : {"Sample,Protein\n", "Sample,Protein\n,%\n\nMean,37.5\n"}) {
        const Readings r = read(text);
        CHECK_FALSE(r.files[0].refused);
        CHECK(r.rows == 0);
        REQUIRE(notes(r, "readings-absent").size() == 1);
        CHECK(notes(r, "readings-absent")[0].line == 0);
    }
    // A record that is rejected says more; a file that was refused has no headings.
    CHECK(notes(read("Sample,Protein\nA,38,9\n"), "readings-absent").empty());
    CHECK(notes(read("Sample,Protein\nA,38\n"), "readings-absent").empty());
    CHECK(notes(read(""), "readings-absent").empty());
}

TEST_CASE("the order of the inputs and the number of threads do not show") {
    const std::string a = "Sample,Protein\nzeta,38.1\nalpha,37\n", b = "Sample,Oil\nmid,20\nzeta,21\n";
    intake::ExportOptions options;
    const Readings one = intake::read_exports({input(a, "1.csv"), input(b, "2.csv")}, table(), options);
    options.threads = 3;
    const Readings two = intake::read_exports({input(b, "2.csv"), input(a, "1.csv")}, table(), options);
    REQUIRE(one.rows == two.rows);
    for (std::size_t row = 0; row < one.rows; ++row)
        CHECK(sample(one, row) == sample(two, row));
    CHECK(one.blocks[0].text[0] == two.blocks[0].text[0]);
    CHECK(one.pool(TextField::sample)[0] == "alpha");
}

TEST_CASE("files with one heading share its columns, and their tables stay apart") {
    const std::string text = "Sample,Protein,Shade\nA1,38.1,x\n";
    const Readings r =
        intake::read_exports({input(text, "1.csv"), input(text, "2.csv"), input("Lab 5\n" + text, "3.csv"),
                              input("Sample,Protein\nA1,38.1\n", "4.csv")},
                             table(), {});
    REQUIRE(r.blocks.size() == 4);
    CHECK(r.blocks[0].table == r.blocks[1].table);
    CHECK_FALSE(r.blocks[0].same_table(r.blocks[1]));
    CHECK(r.blocks[2].table != r.blocks[0].table); // its heading stands on another line
    CHECK(r.blocks[2].table->heading_line == 2);
    CHECK(r.blocks[3].table != r.blocks[0].table);
    CHECK(notes(r, "heading-unknown").size() == 3);
}

TEST_CASE("values of another share than elsewhere are told once for their heading, with their number") {
    const auto both = [](const char* second) {
        return intake::read_exports({input("Sample,Lysine (% of protein)\nA,6.3\n", "1.csv"),
                                     input(second, "2.csv"), input("Sample,Lysine (% DM)\nD,2.1\n", "3.csv")},
                                    table(), {});
    };
    const Readings r = both("Sample,Lysine (% DM)\nB,2.5\nC,2.4\n");
    const auto told = notes(r, "share-differs");
    REQUIRE(told.size() == 1);
    CHECK(r.files[told[0].file].source == "1.csv"); // amino acids are usually a share of the sample
    CHECK(told[0].heading == "Lysine (% of protein)");
    CHECK(told[0].line == 1);
    CHECK(told[0].column == 2);
    CHECK(told[0].message.find("of the protein here, of the sample elsewhere") != std::string::npos);
    CHECK(told[0].message.find("in 1 reading enter") != std::string::npos);
    // One share throughout is no doubt, whichever it is.
    CHECK(notes(read("Sample,Lysine (% of protein)\nA,6.3\n"), "share-differs").empty());
}

TEST_CASE("rows of statistics below a table are no readings, however they are worded") {
    for (const char* words :
         {"Mean (n=2)", "mean (n = 12)", "Mean n=2",         "MEAN, n = 2",      "n = 5",
          "(n=5)",      "Std error",     "Std. Dev.",        "Standard Dev",     "STDEV.S",
          "STDEV.P",    "Grand Total",   "Average of 5",     "Mean \xC2\xB1 SD", "Mean +/- SD",
          "Mean (SD)",  "LSD (0.05)",    "LSD (5 %)",        "LSD (0,05)",       "Coeff. of variation",
          "CV (%)",     "Mean value",    "Mittelwert (n=2)", "Gesamtmittel",     "=\"\"Mean\"\""}) {
        const Readings r = read("Sample,Protein (% as is)\nA1,38.1\n\"" + std::string(words) + "\",38.2\n");
        INFO(words);
        CHECK(r.rows == 1);
        CHECK(r.files[0].not_a_reading == 1);
        CHECK(notes(r, "layout-doubtful").size() == 1); // told, as all that are no readings
    }
}

TEST_CASE("an ID that holds a word of statistics beside a number stays a sample") {
    for (const char* id : {"Mean-3", "SD12", "Mean 3", "Mean(3)", "SE (4)", "Max 0.05", "N5", "n-5",
                           "CV1 (2)", "Total of A5", "Min=5", "Mean (plot 3)", "Std 1", "LSD5"}) {
        const Readings r = read("Sample,Protein (% as is)\nA1,38.1\n\"" + std::string(id) + "\",38.2\n");
        CHECK(r.rows == 2);
        CHECK(sample(r, 1) == id);
    }
}

#include "unit/intake/reading_help.hpp"

#include <thresh/intake/list_table.hpp>

#include <algorithm>
#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh::intake;

namespace {

const std::vector<ListColumn> kColumns = {
    {"sample", {"sample id", "packet"}}, {"line", {"entry", "genotype"}}, {"rep", {}}};

} // namespace

TEST_CASE("a list is read by its headings in any order with cells as text") {
    const auto list = read_list(
        input("Nursery list\nGenotype;Packet;Remark\nL-1;007;\"x;\ny\"\n\nL-2;'=8\nGenotype;Packet;Remark\n"),
        kColumns, {"sample"}, {});
    REQUIRE(list);
    REQUIRE(list->rows.size() == 2);
    CHECK(list->cell(0, 0) == "007");
    CHECK(list->cell(0, 1) == "L-1");
    CHECK(list->cell(0, 2).empty());
    CHECK(list->rows[0].cells[2] == "x; y");
    CHECK(list->cell(1, 0) == "=8");
    CHECK(list->rows[1].line == 6);
    CHECK(list->heading_line == 2);
}

TEST_CASE("IDs are the same text in lists and in exports") {
    for (const char* id : {"A  B", "  A B ", "\"A\nB\"", "A\tB", "'=A  1", "'A"}) {
        const auto list = read_list(input(fmt::format("Sample,Line\n{},L\n", id)), kColumns, {"sample"}, {});
        REQUIRE(list);
        const thresh::Readings exports = read(fmt::format("Sample,Protein\n{},38\n", id));
        CHECK(list->cell(0, 0) == sample(exports, 0));
    }
}

TEST_CASE("a list of one column is a list") {
    const auto list = read_list(input("Sample\nA\nB,1\n"), kColumns, {"sample"}, {});
    REQUIRE(list);
    CHECK(list->cell(0, 0) == "A");
}

TEST_CASE("a list without the columns it must have is an error that names its headings") {
    const auto list = read_list(input("Genotype,Remark\nL-1,x\n", "list.csv"), kColumns, {"sample"}, {});
    REQUIRE_FALSE(list);
    CHECK(list.error().message.find("Genotype") != std::string::npos);
    CHECK(list.error().file == "list.csv");
    const auto empty = read_list(input(" \n", "list.csv"), kColumns, {"sample"}, {});
    REQUIRE_FALSE(empty);
    CHECK_FALSE(empty.error().help.empty());
    CHECK_FALSE(read_list({"gone.csv", nullptr, {"cannot be opened", "", "", 0, 0}}, kColumns, {}, {}));
}

namespace {

// `CODE HEADING: MESSAGE` of each note on the headings of a list.
std::vector<std::string> unused(const std::string& headings,
                                const thresh::ConstituentTable* numbers = nullptr,
                                const ExportOptions& options = {}) {
    const std::vector<ListColumn> columns = {{"sample", {"sample id", "packet"}},
                                             {"line", {"entry", "genotype"}},
                                             {"environment", {"site", "env"}},
                                             {"mass_g", {"weight"}},
                                             {"rep", {}},
                                             {"plot", {}}};
    const std::string cells(static_cast<std::size_t>(std::count(headings.begin(), headings.end(), ',')), ',');
    auto list = read_list(input(headings + "\nA" + cells + "\n"), columns, {"sample"}, {});
    REQUIRE(list);
    note_unused_columns(*list, columns, options, numbers);
    std::vector<std::string> told;
    for (const thresh::IntakeNote& note : list->notes) {
        CHECK(note.line == 1);
        CHECK(note.doubt == (note.message.find("did you mean") != std::string::npos));
        told.push_back(note.code + " " + note.message);
    }
    return told;
}
using Told = std::vector<std::string>;

std::string meant(const std::string& heading, const std::string& name) {
    return "heading-unknown `" + heading +
           "` is not a heading that is known; the column is not used; did you mean `" + name + "`?";
}

} // namespace

TEST_CASE("a list's heading one typing error from a known one is told with that one") {
    CHECK(unused("sample,lne,rep") == Told{meant("lne", "line")});
    CHECK(unused("sample,genotpye,rep") == Told{meant("genotpye", "genotype")});
    CHECK(unused("sample,line,Envirnment") == Told{meant("Envirnment", "environment")});
    CHECK(unused("sample,line,rpe") == Told{meant("rpe", "rep")});
    CHECK(unused("sample,line,Rep.").empty());
}

TEST_CASE("a heading near to a column that the list has, or that means something else, is not taken for it") {
    CHECK(unused("sample,line,lane") ==
          Told{"heading-unknown `lane` is not a heading of such a list; the column is not used"});
    CHECK(unused("sample,line,height,lot,size").size() == 1);
    CHECK(unused("sample,line,re").front().find("did you mean") == std::string::npos);
}

TEST_CASE("headings of the user's own are told together, ignored ones not") {
    CHECK(unused("sample,remarks,line,seen by,") ==
          Told{"heading-unknown `remarks`, `seen by` are not headings of such a list; the columns are not "
               "used"});
    ExportOptions options;
    options.ignore = {"rem*"};
    CHECK(unused("sample,line,remarks", nullptr, options).empty());
    CHECK(unused("sample,line,a1,a2,a3,a4,a5,a6,a7,a8,a9,b1,b2").front().find("and 1 more") !=
          std::string::npos);
}

TEST_CASE("a second heading of one column is told, and which is used") {
    CHECK(unused("sample,line,genotype") ==
          Told{"heading-repeated `genotype` means `line`, which another column is; this one is not used"});
}

TEST_CASE("headings of constituents are known where a list has numbers") {
    const thresh::ConstituentTable constituents;
    CHECK(unused("sample,line,protein (% DM)", &constituents).empty());
    CHECK(unused("sample,line,protien", &constituents) == Told{meant("protien", "protein")});
    CHECK(unused("sample,line,protein (% DM)").front().starts_with("heading-unknown"));
}

TEST_CASE("headings that stand before a column's name go before it, and before other columns' headings") {
    const std::vector<ListColumn> own = {
        {"sample", {"sample id"}}, {"line", {"entry", "line", "genotype"}}, {"rep", {"genotype", "rep"}}};
    const auto list = read_list(input("sample,line,entry,genotype\nA,L,E,G\n"), own, {"sample"}, {});
    REQUIRE(list);
    CHECK(list->cell(0, 1) == "E");
    CHECK(list->cell(0, 2) == "G");
    const auto other = read_list(input("sample,genotype\nA,G\n"), own, {"sample"}, {});
    REQUIRE(other);
    CHECK(other->cell(0, 1).empty()); // `genotype` is the rep here
    CHECK(other->cell(0, 2) == "G");
}

TEST_CASE("the way out of a repeated heading names what can help") {
    const auto help = [](const std::string& headings) {
        auto list = read_list(input(headings + "\nA,B,C\n"), kColumns, {"sample"}, {});
        REQUIRE(list);
        note_unused_columns(*list, kColumns, {});
        REQUIRE(list->notes.size() == 1);
        return list->notes[0].help;
    };
    CHECK(help("sample,line,genotype") == "to use this one instead, in the rules file: \"columns\": { "
                                          "\"line\": { \"headings\": [\"genotype\"] } }");
    CHECK(help("sample,line,Line") == "rename one of the columns `Line` in the list");
}

namespace {

std::string second_heading(const std::string& text) {
    const auto list = read_list(input(text, "list.csv"), kColumns, {"sample"}, {});
    return list ? fmt::format("{} rows", list->rows.size())
                : fmt::format("{}:{} {}", list.error().file, list.error().line, list.error().message);
}

} // namespace

TEST_CASE("a second heading with other columns stops a list, the same heading again does not") {
    const std::string first = "Sample;Line;Rep\nS1;LA;1\n\n";
    const std::string error = "list.csv:4 a second heading stands among the rows: `";
    CHECK(second_heading(first + "Sample;Rep;Line\nS2;1;LB\n") == error + "Sample;Rep;Line`");
    CHECK(second_heading(first + "Laboratory no;Packet;Line\nS2;S3;LB\n") ==
          error + "Laboratory no;Packet;Line`");
    CHECK(second_heading(first + "Sample;Line;Rep;Oil (%)\nS2;LB;1;20\n") ==
          error + "Sample;Line;Rep;Oil (%)`");
    CHECK(second_heading(first + "Sample;Line;Rep\nS2;LB;1\n") == "2 rows");
    CHECK(second_heading(first + "sample;line\nS2;LB;1\n") == "2 rows");
    // Words that headings have as well.
    CHECK(second_heading(first + "S2;line;1\nRep;entry;2\nsample;entry 7;\n") == "4 rows");
}

TEST_CASE("a heading over two rows that comes again in a list is no row") {
    CHECK(second_heading("Sample;Oil;Line\n;(% DM);\nS1;20;LA\nSample;Oil;Line\nS2;21;LB\n") == "2 rows");
}

TEST_CASE("an ID that a formula guards is what stands between its quotes, also in lists") {
    const auto list =
        read_list(input("Sample,Line\n\"=\"\"00123\"\"\",L\n=\"00124\",L\n"), kColumns, {"sample"}, {});
    REQUIRE(list);
    CHECK(list->cell(0, 0) == "00123");
    CHECK(list->cell(1, 0) == "00124");
}

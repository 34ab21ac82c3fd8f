#include "unit/intake/reading_help.hpp"

#include <thresh/intake/list_table.hpp>

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

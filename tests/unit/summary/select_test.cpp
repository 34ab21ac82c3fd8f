#include <catch2/catch.hpp>
#include <thresh/summary/select.hpp>

#include <string>

using namespace thresh;
using namespace thresh::summary;

namespace {

StoredTable lines() {
    std::vector<OutColumn> columns(4);
    columns[0].name = "line";
    columns[1].name = "protein";
    columns[1].type = ColumnType::number;
    columns[2].name = "plots";
    columns[2].type = ColumnType::integer;
    columns[3].name = "time";
    columns[3].type = ColumnType::time;
    StoredTable table("lines", columns);
    const auto add = [&](std::string line, double protein, std::int64_t plots, const char* time) {
        std::vector<Value> row(4);
        row[0].value = std::move(line);
        if (protein > 0)
            row[1].value = protein;
        row[2].value = plots;
        row[3].value = time_from_iso(time);
        table.add(std::move(row));
    };
    add("L-1", 36.0, 3, "2026-08-03T07:41");
    add("L-2", 0, 2, "2026-08-03T23:59:59");
    add("A > B", 38.5, 3, "2026-08-04");
    add("L-10", 36.5, 1, "2026-08-05T01:00");
    return table;
}

std::string chosen(const Selection& selection) {
    const StoredTable table = lines();
    const auto made = select_rows(table, selection);
    if (!made)
        return describe(made.error());
    std::string names;
    const StoredTable rows(**made);
    for (const auto& row : rows.data())
        names += std::get<std::string>(row[0].value) + ";";
    return names;
}

} // namespace

TEST_CASE("where keeps the rows that meet every condition, and never a missing cell") {
    CHECK(chosen({{"protein > 36"}, "", 0}) == "A > B;L-10;");
    CHECK(chosen({{"protein >= 36"}, "", 0}) == "L-1;A > B;L-10;");
    CHECK(chosen({{"protein != 36"}, "", 0}) == "A > B;L-10;");
    CHECK(chosen({{"protein>36 and plots = 1"}, "", 0}) == "L-10;");
    CHECK(chosen({{"protein > 36", "plots<3"}, "", 0}) == "L-10;");
    CHECK(chosen({{"protein = missing"}, "", 0}) == "L-2;");
    CHECK(chosen({{"protein != missing"}, "", 0}) == "L-1;A > B;L-10;");
    CHECK(chosen({{"line = L-1"}, "", 0}) == "L-1;");
    CHECK(chosen({{"line = L-1*"}, "", 0}) == "L-1;L-10;");
    CHECK(chosen({{"line = 'A > B'"}, "", 0}) == "A > B;");
    CHECK(chosen({{"line != L-?"}, "", 0}) == "A > B;L-10;");
}

TEST_CASE("an apostrophe in a value is no quote, and a quote that never closes is told") {
    CHECK(chosen({{"line != O'Brien and protein > 36"}, "", 0}) == "A > B;L-10;");
    CHECK(chosen({{"line != 'Dunn and Sons' and protein > 36"}, "", 0}) == "A > B;L-10;");
    CHECK(chosen({{"line !=  \"O'Brien\" and protein > 36"}, "", 0}) == "A > B;L-10;");
    CHECK(chosen({{"line != 'Dunn and protein > 36"}, "", 0}).find("never closed") != std::string::npos);
}

TEST_CASE("a day in a condition means the whole day") {
    CHECK(chosen({{"time <= 2026-08-03"}, "", 0}) == "L-1;L-2;");
    CHECK(chosen({{"time = 2026-08-03"}, "", 0}) == "L-1;L-2;");
    CHECK(chosen({{"time > 2026-08-03"}, "", 0}) == "A > B;L-10;");
}

TEST_CASE("sort is stable, rising or falling, with missing cells last either way") {
    CHECK(chosen({{}, "protein", 0}) == "L-1;L-10;A > B;L-2;");
    CHECK(chosen({{}, "-protein", 0}) == "A > B;L-10;L-1;L-2;");
    CHECK(chosen({{}, "-plots,protein", 0}) == "L-1;A > B;L-2;L-10;");
    CHECK(chosen({{}, "plots", 2}) == "L-10;L-2;");
    CHECK(chosen({{}, "", 2}) == "L-1;L-2;");
    CHECK(chosen({{"plots > 1"}, "", 2}) == "L-1;L-2;");
}

TEST_CASE("a wrong column names the nearest, a wrong value says what is needed") {
    CHECK(chosen({{"protien > 36"}, "", 0}).find("did you mean `protein`?") != std::string::npos);
    CHECK(chosen({{}, "Plot", 0}).find("did you mean `plots`?") != std::string::npos);
    CHECK(chosen({{"zzzzzzzz = 1"}, "", 0}).find("columns are: line, protein, plots, time") !=
          std::string::npos);
    CHECK(chosen({{"protein > 36,5"}, "", 0}).find("`36,5` is no number") != std::string::npos);
    CHECK(chosen({{"protein"}, "", 0}).find("is no condition") != std::string::npos);
    CHECK(chosen({{"time > yesterday"}, "", 0}).find("is no time") != std::string::npos);
    CHECK(chosen({{"protein < missing"}, "", 0}).find("missing has no order") != std::string::npos);
}

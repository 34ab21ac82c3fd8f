#include "unit/support/readings_builder.hpp"

#include <catch2/catch.hpp>

#include <thresh/batch/batch.hpp>
#include <thresh/batch/decision_places.hpp>

using namespace thresh;
using namespace thresh::batch;
using thresh::test::make_readings;
using thresh::test::Row;

namespace {

using Action = Decision::Action;

Decision decide(Action action, std::string sample, std::string to = {}) {
    Decision decision;
    decision.action = action;
    decision.sample = std::move(sample);
    decision.to = std::move(to);
    return decision;
}

std::vector<Row> three() {
    return {{.source = "x/a.csv", .line = 2, .time = "2026-08-03T07:41:09", .sample = "S1"},
            {.source = "x/a.csv", .line = 3, .time = "2026-08-03T07:42:09", .sample = "S2"},
            {.source = "x/b.csv", .line = 2, .time = "2026-08-04T07:41:09", .sample = "S1"}};
}

Batch put(std::vector<Decision> decisions) {
    return assemble(make_readings(three()), {}, std::move(decisions), {});
}

std::string id_of(const Batch& batch, RowId row) {
    return batch.sample[row] == kNone ? "" : std::string(batch.samples[batch.sample[row]].id);
}

} // namespace

TEST_CASE("a rename gives readings their ID before anything else") {
    const Batch batch = put({decide(Action::rename, "S1", "A-new")});
    CHECK(id_of(batch, 0) == "A-new");
    CHECK(id_of(batch, 1) == "S2");
    CHECK(id_of(batch, 2) == "A-new");
    CHECK(batch.samples.size() == 2);
    CHECK(batch.lines[0].name == "A-new");
    CHECK(batch.targets[0].rows == std::vector<RowId>{0, 2});
}

TEST_CASE("a rename by source and row, or by time, concerns that reading only") {
    Decision by_row = decide(Action::rename, "", "S2");
    by_row.source = "b.csv"; // the end of just one path
    by_row.row = 2;
    CHECK(id_of(put({by_row}), 2) == "S2");
    CHECK(id_of(put({by_row}), 0) == "S1");
    Decision by_time = decide(Action::rename, "S1", "S9");
    by_time.time = time_from_iso("2026-08-04T07:41");
    const Batch batch = put({by_time});
    CHECK(id_of(batch, 0) == "S1");
    CHECK(id_of(batch, 2) == "S9");
}

TEST_CASE("the first rename that fits a reading holds, and renames do not chain") {
    const Batch batch = put({decide(Action::rename, "S1", "S2"), decide(Action::rename, "S2", "S3"),
                             decide(Action::rename, "S1", "S4")});
    CHECK(id_of(batch, 0) == "S2");
    CHECK(id_of(batch, 1) == "S3");
    CHECK_FALSE(batch.targets[2].found());
}

TEST_CASE("keep and drop are told which readings, sample or file they fit") {
    Decision file = decide(Action::keep, "");
    file.source = "x/a.csv";
    file.code = "basis-assumed";
    Decision row = decide(Action::drop, "");
    row.source = "x/a.csv";
    row.row = 3;
    Decision day = decide(Action::drop, "S1");
    day.time = time_from_iso("2026-08-03");
    const Batch batch = put({decide(Action::keep, "S1"), file, row, day, decide(Action::drop, "nobody")});
    CHECK(batch.targets[0].sample == 0);
    CHECK(batch.targets[0].rows == std::vector<RowId>{0, 2});
    CHECK(batch.targets[1].file == 0);
    CHECK(batch.targets[1].rows == std::vector<RowId>{0, 1});
    CHECK(batch.targets[2].rows == std::vector<RowId>{1});
    CHECK(batch.targets[3].rows == std::vector<RowId>{0});
    CHECK(batch.targets[3].sample == kNone);
    CHECK_FALSE(batch.targets[4].found());
}

TEST_CASE("a file name that could be several fits none") {
    std::vector<Row> rows = three();
    rows.push_back({.source = "y/a.csv", .sample = "S1"});
    Decision decision = decide(Action::drop, "S1");
    decision.source = "a.csv";
    const Batch batch = assemble(make_readings(rows), {}, {decision}, {});
    CHECK_FALSE(batch.targets[0].found());
}

TEST_CASE("keep and drop see the IDs that renames made") {
    const Batch batch = put({decide(Action::rename, "S2", "S7"), decide(Action::drop, "S7")});
    CHECK(batch.targets[1].rows == std::vector<RowId>{1});
}

TEST_CASE("a row that is a reading on several sheets is refused until the sheet is named") {
    const Readings readings =
        make_readings({{.source = "w.xlsx", .line = 5, .sample = "S1", .sheet = "FA"},
                       {.source = "w.xlsx", .line = 5, .sample = "S2", .sheet = "NIR"},
                       {.source = "w.xlsx", .line = 6, .sample = "S3", .sheet = "NIR"}});
    Decision drop = decide(Action::drop, "");
    drop.row_line = 2;
    drop.source = "w.xlsx";
    drop.row = 5;
    const auto refused = check_places("d.csv", {drop}, readings);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().file == "d.csv");
    CHECK(refused.error().line == 2);
    CHECK(refused.error().message == "row 5 of `w.xlsx` is a reading on sheet `FA` and on sheet `NIR`");
    CHECK(refused.error().help == "name the sheet as the tables do: `w.xlsx[FA]`");
    drop.sample = "S2"; // tells them apart
    CHECK(check_places("d.csv", {drop}, readings));
    drop.sample.clear();
    drop.row = 6;
    CHECK(check_places("d.csv", {drop}, readings));
    drop.row = 5;
    drop.source = "w.xlsx[NIR]";
    CHECK(check_places("d.csv", {drop}, readings));
}

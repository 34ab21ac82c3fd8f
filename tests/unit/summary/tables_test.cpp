#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/todo.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;
using test::rows_of;

namespace {

test::Row reading(std::string sample, std::string protein, std::string time = {}) {
    test::Row row;
    row.sample = std::move(sample);
    row.material = "soy";
    row.time = std::move(time);
    row.instrument = "NIR-1";
    row.values = {{"moisture", "6.0"}, {"protein", std::move(protein)}, {"oil", "20"}};
    return row;
}

double average(const test::MapSink& table, const std::string& sample, const std::string& column) {
    double sum = 0;
    int n = 0;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const std::string& verdict = table.rows[row].at("verdict");
        const auto cell = table.numbers.find({row, column});
        if (table.rows[row].at("sample") != sample || (verdict != "use" && verdict != "review") ||
            cell == table.numbers.end())
            continue;
        sum += cell->second;
        ++n;
    }
    return sum / n;
}

} // namespace

TEST_CASE("averaging the usable readings gives samples exactly") {
    const auto holder = make_season(
        {reading("A", "36.11"), reading("A", "36.47"), reading("A", "39.9"), reading("A", "36.2")},
        {entry("A", "L-1")});
    holder->find("moisture-high", Severity::exclude, 2);
    holder->find("impossible-value", Severity::exclude, 3, "protein");
    const auto means = sample_means(holder->season());
    const auto samples = rows_of(*samples_table(holder->season(), *means));
    const auto readings = rows_of(*readings_table(holder->season(), {}));
    for (const char* column : {"moisture", "protein", "oil", "protein_plus_oil"})
        CHECK(samples.numbers.at({0, column}) == average(readings, "A", column));
    CHECK(samples.rows[0].at("protein_n") == "2");
    CHECK(samples.rows[0].at("readings") == "4");
    CHECK(samples.rows[0].at("readings_used") == "3");
    CHECK(samples.rows[0].at("findings") == "impossible-value:protein;moisture-high");
    CHECK(samples.rows[0].at("verdict") == "use");
}

TEST_CASE("readings keep the values of an excluded reading and leave an excluded value empty") {
    const auto holder = make_season({reading("A", "36.1", "2026-08-03T07:41"), reading("", "36.2")});
    holder->find("moisture-high", Severity::exclude, 0);
    holder->find("impossible-value", Severity::exclude, 0, "protein");
    const auto table = rows_of(*readings_table(holder->season(), {true, false}));
    const auto& row = table.rows[0];
    CHECK(row.at("verdict") == "exclude");
    CHECK(row.at("protein").empty());
    CHECK(row.at("protein_plus_oil").empty());
    CHECK(row.at("protein_as_read") == "36.1");
    CHECK_FALSE(row.at("oil").empty());
    CHECK(row.at("source") == "a.csv");
    CHECK(row.at("row") == "2");
    CHECK(row.at("kind") == "seed");
    CHECK(row.at("time") == "2026-08-03T07:41");
    CHECK(row.at("basis") == "13");
    CHECK(table.rows[1].at("sample").empty());
}

TEST_CASE("readings are the same for a sink that wants no marks") {
    const auto holder = make_season({reading("A", "36.1"), reading("B", ""), reading("C", "36.2")});
    holder->find("below-expected", Severity::review, 0, "protein");
    holder->find("impossible-value", Severity::exclude, 2, "oil");
    const auto table = readings_table(holder->season(), {});
    test::FileSink sink(*table);
    table->write(0, table->rows(), sink);
    CHECK(sink.rows == rows_of(*table).rows);
    CHECK(sink.rows[2].at("oil").empty());
}

TEST_CASE("a value that a session's finding excludes is shown to people as left out") {
    const auto holder = make_season({reading("A", "36.1"), reading("B", "36.2")});
    const ConstituentId oil = holder->rules.constituents.find("oil").value();
    holder->judgement.marks.push_back({0, oil, Mark::exclude}); // no finding of the reading itself
    holder->judgement.index_marks(2);
    const auto table = readings_table(holder->season(), {});
    const StoredTable copy(*table);
    for (std::size_t column = 0; column < copy.columns().size(); ++column)
        if (copy.columns()[column].name == "oil") {
            CHECK(copy.data()[0][column].shown == Shown::left_out);
            CHECK(copy.data()[1][column].shown == Shown::plain);
        }
    CHECK(rows_of(*table).rows[0].at("oil").empty());
}

TEST_CASE("findings of a reading are sorted as they are spelled, each once") {
    std::vector<std::string> spelled;
    const auto holder = make_season({reading("A", "36.1")});
    // Among them codes that others begin with.
    for (const rules::Declaration& kind : rules::catalogue())
        for (const char* constituent : {"", "oil", "protein", "oil"}) {
            const std::string code(kind.code);
            holder->find(code, Severity::note, 0, constituent);
            spelled.push_back(*constituent == 0 ? code : code + ":" + constituent);
        }
    std::sort(spelled.begin(), spelled.end());
    spelled.erase(std::unique(spelled.begin(), spelled.end()), spelled.end());
    CHECK(rows_of(*readings_table(holder->season(), {})).rows[0].at("findings") ==
          fmt::format("{}", fmt::join(spelled, ";")));
}

TEST_CASE("readings --long shows every value with its mark, excluded ones too") {
    const auto holder = make_season({reading("A", "36.1"), reading("B", "")});
    holder->find("impossible-value", Severity::exclude, 0, "protein");
    const auto table = readings_table(holder->season(), {false, true});
    const auto all = rows_of(*table);
    REQUIRE(all.rows.size() == 5);
    CHECK(all.rows[1].at("constituent") == "protein");
    CHECK(all.rows[1].at("mark") == "exclude");
    CHECK(all.rows[1].at("as_read") == "36.1");
    CHECK_FALSE(all.rows[1].at("value").empty());
    CHECK(all.rows[1].at("findings") == "impossible-value");
    CHECK(all.rows[0].at("basis") == "as-is");
    test::MapSink part(*table);
    table->write(2, 4, part);
    REQUIRE(part.rows.size() == 2);
    CHECK(part.rows[0] == all.rows[2]);
    CHECK(part.rows[1] == all.rows[3]);
}

TEST_CASE("a value that a finding of another session marks has its code in all tables") {
    const auto holder =
        make_season({reading("A", "36.1", "2026-08-03T08:00"), reading("A", "36.2", "2026-08-05T08:00"),
                     reading("B", "36.3", "2026-08-06T08:00")},
                    {entry("A", "L-1"), entry("B", "L-1")});
    const ConstituentId protein = holder->rules.constituents.find("protein").value();
    Finding control;
    control.code = rules::code_index("control-action").value();
    control.severity = Severity::review;
    control.about = About::session;
    control.constituent = protein;
    control.row = 2;
    control.subject = holder->batch.session[2];
    holder->judgement.findings.push_back(control);
    holder->judgement.session_marks.push_back({{0, protein, Mark::review}, 2, control.code});
    holder->judgement.marks.push_back({0, protein, Mark::review});
    holder->index();
    const auto readings = rows_of(*readings_table(holder->season(), {}));
    CHECK(readings.rows[0].at("findings") == "control-action:protein");
    CHECK(readings.rows[1].at("findings").empty());
    const auto values = rows_of(*readings_table(holder->season(), {false, true}));
    CHECK(values.rows[1].at("constituent") == "protein");
    CHECK(values.rows[1].at("findings") == "control-action");
    CHECK(values.rows[0].at("findings").empty());
    const auto means = sample_means(holder->season());
    CHECK(rows_of(*samples_table(holder->season(), *means)).rows[0].at("findings") ==
          "control-action:protein");
}

TEST_CASE("readings that are quoted by their median on dry basis are so on every basis") {
    // Dry 38.00, 38.05, 38.62: wider than 3.314 x 0.18 there, narrower where shares are smaller.
    const auto holder = make_season({reading("A", "35.72", "2026-10-01 09:00:00"),
                                     reading("A", "35.767", "2026-10-01 09:01:00"),
                                     reading("A", "36.3028", "2026-10-01 09:02:00")},
                                    {entry("A", "L-1")});
    holder->rules.materials[0].repeatability_sd[constituent::protein] = 0.18;
    for (const auto& [basis, quoted] :
         {std::pair(Basis::dry(), 38.05), std::pair(Basis::at(13), 38.05 * 0.87),
          std::pair(Basis::as_is(), 35.767)}) {
        holder->rules.basis = basis;
        const auto table = rows_of(*samples_table(holder->season(), *sample_means(holder->season())));
        CHECK(table.numbers.at({0, "protein_quoted"}) == Approx(quoted).epsilon(1e-12));
    }
}

TEST_CASE("the quoted value follows the critical range, in order of time") {
    const auto holder =
        make_season({reading("A", "36.0", "2026-08-03T09:00"), reading("A", "36.1", "2026-08-03T08:00"),
                     reading("B", "36.0"), reading("B", "36.1"), reading("B", "36.2"), reading("B", "39.0")});
    holder->rules.materials[0].repeatability_sd[constituent::protein] = 0.18;
    const auto means = sample_means(holder->season());
    const auto table = rows_of(*samples_table(holder->season(), *means));
    CHECK(table.numbers.at({0, "protein_quoted"}) == Approx(table.numbers.at({0, "protein"})));
    // Range of four beyond CR(4): the median of the four.
    CHECK(table.numbers.at({1, "protein_quoted"}) == Approx(36.15 * (87 / 94.0)).epsilon(1e-13));
    CHECK(table.rows[0].at("oil_quoted").empty());
}

TEST_CASE("every record is counted once and the accounting adds up") {
    const auto holder = make_season({reading("A", "36.1"), reading("B", "36.2"), reading("C", "36.3")});
    holder->find("moisture-high", Severity::exclude, 1);
    holder->batch.kind[2] = Kind::control;
    holder->batch.readings.files[0].records += 3;
    holder->batch.readings.files[0].rejected = 2;
    holder->batch.readings.files[0].not_a_reading = 1;
    Accounting made = account(holder->season());
    CHECK(made.total.adds_up());
    CHECK(made.total.rows == 6);
    CHECK(made.total.use == 1);
    CHECK(made.total.exclude == 1);
    CHECK(made.total.control == 1);
    CHECK(made.files.at(0).source == "a.csv");
    made.total.rejected = 1;
    CHECK_FALSE(made.total.adds_up());
}

TEST_CASE("todo has one item a packet and action, most urgent first, without what is settled") {
    auto entries = std::vector{entry("A", "L-1"), entry("B", "L-1"), entry("C", "L-1")};
    entries[0].due = "2026-09-02";
    entries[1].due = "2026-09-01";
    const auto holder = make_season(
        {reading("A", "36.1"), reading("A", "36.2"), reading("B", "36.3"), reading("C", "36.3")}, entries);
    holder->rules.materials[0].window.high = 5;
    rules::Range expected;
    expected.high = 30;
    holder->rules.materials[0].expected[constituent::protein] = {expected};
    holder->find("moisture-high", Severity::exclude, 0);
    holder->find("moisture-high", Severity::exclude, 1);
    holder->find("above-expected", Severity::review, 1, "protein");
    holder->find("moisture-high", Severity::exclude, 2);
    holder->find("moisture-high", Severity::exclude, 3);
    holder->judgement.findings.back().settled = true;
    const auto items = todo_items(holder->season());
    REQUIRE(items.size() >= 2);
    CHECK(holder->batch.samples[items[0].sample].id == "B");
    CHECK(holder->batch.samples[items[1].sample].id == "A");
    CHECK(TodoSpeller(holder->season()).words(items[1]).reason.find("moisture-high") != std::string::npos);
    for (const TodoItem& item : items)
        CHECK(holder->batch.samples[item.sample].id != "C");
}

TEST_CASE("a run of readings under its neighbours' IDs is one thing to do, with all its packets") {
    auto entries = std::vector{entry("A", "L-1"), entry("B", "L-2"), entry("C", "L-3"), entry("D", "L-4")};
    entries[0].location = entries[1].location = "box 1";
    entries[2].location = "box 2";
    entries[1].due = "2026-09-01";
    const auto holder = make_season({reading("A", "36.1"), reading("A", "36.2"), reading("B", "36.3"),
                                     reading("C", "36.3"), reading("D", "36.3")},
                                    entries);
    holder->judgement.details = {"A to C fit better moved by one", "another run"};
    for (const RowId row : {0U, 1U, 2U, 3U, 4U}) {
        holder->find("queue-shifted", Severity::review, row);
        holder->judgement.findings.back().detail = row == 4 ? 1 : 0;
    }
    const auto items = todo_items(holder->season());
    REQUIRE(items.size() == 2);
    CHECK(items[0].sample == kNone);
    CHECK(items[0].due == "2026-09-01");
    CHECK(items[0].location.empty());
    CHECK(items[0].packets.size() == 3);
    CHECK(TodoSpeller(holder->season()).words(items[0]).detail ==
          "a.csv:2: A to C fit better moved by one; packets: A (box 1), B (box 1), C (box 2)");
    CHECK(items[1].packets.size() == 1);
}

TEST_CASE("a wet sample read twice is told once how far to dry, from its latest reading") {
    const auto wet = [](const char* moisture, const char* time) {
        test::Row row = reading("A", "36.1", time);
        std::erase_if(row.values, [](const auto& value) { return value.first == "moisture"; });
        row.values.emplace_back("moisture", moisture);
        return row;
    };
    const auto holder = make_season({wet("9.0", "2026-08-03T09:00"), wet("10.0", "2026-08-03T08:00")});
    holder->rules.materials[0].window.low = 5;
    holder->rules.materials[0].window.high = 8;
    holder->find("moisture-high", Severity::exclude, 0);
    holder->find("moisture-high", Severity::exclude, 1);
    const auto items = todo_items(holder->season());
    REQUIRE(items.size() == 1);
    const std::string detail = TodoSpeller(holder->season()).words(items[0]).detail;
    CHECK(detail.find("moisture 9.0 %") != std::string::npos);
    CHECK(detail.find("moisture 10.0 %") != std::string::npos);
    // From 9 to 6.5 %: 91 / 93.5 of the mass.
    CHECK(detail.find("stop at 97.3 % of today's mass") != std::string::npos);
    CHECK(detail.find("stop at", detail.find("stop at") + 1) == std::string::npos);
}

TEST_CASE("findings name place, subject and words") {
    const auto holder = make_season({reading("A", "36.1", "2026-08-03T07:41")}, {entry("A", "L-1")});
    holder->rules.materials[0].window.high = 5;
    holder->find("moisture-high", Severity::exclude, 0);
    const auto table = rows_of(*findings_table(holder->season()));
    REQUIRE(table.rows.size() == 1);
    const auto& row = table.rows[0];
    CHECK(row.at("code") == "moisture-high");
    CHECK(row.at("severity") == "exclude");
    CHECK(row.at("about") == "reading");
    CHECK(row.at("source") == "a.csv");
    CHECK(row.at("row") == "2");
    CHECK(row.at("sample") == "A");
    CHECK(row.at("line") == "L-1");
    CHECK(row.at("instrument") == "NIR-1");
    CHECK(row.at("time") == "2026-08-03T07:41");
    CHECK_FALSE(row.at("message").empty());
}

TEST_CASE("a settled finding is shown with nothing left to do") {
    const auto holder = make_season({reading("A", "36.1"), reading("B", "36.2"), reading("C", "36.3")});
    holder->rules.materials[0].window.high = 5;
    for (const RowId row : {0U, 1U, 2U})
        holder->find("moisture-high", Severity::review, row);
    for (Finding& finding : holder->judgement.findings)
        finding.settled = finding.row == 1;             // by a decision
    holder->judgement.verdict[2] = Verdict::superseded; // by a later reading
    const auto table = rows_of(*findings_table(holder->season()));
    REQUIRE(table.rows.size() == 3);
    CHECK(table.rows[0].at("action").find("then read again") != std::string::npos);
    for (const std::size_t row : {1U, 2U}) {
        CHECK(table.rows[row].at("action") == "nothing to do: settled");
        CHECK(table.rows[row].at("severity") == "review");
    }
}

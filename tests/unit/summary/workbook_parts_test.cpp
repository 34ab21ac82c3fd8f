#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/how.hpp>
#include <thresh/summary/line_charts.hpp>
#include <thresh/summary/select.hpp>

#include <cmath>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

test::Row reading(std::string sample, std::string moisture, std::string protein, std::string oil = "20") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = "soy";
    row.values = {
        {"moisture", std::move(moisture)}, {"protein", std::move(protein)}, {"oil", std::move(oil)}};
    return row;
}

// The notes of a table beside the row and column that they are about.
class NoteSink final : public RowSink {
  public:
    explicit NoteSink(const Table& table, bool wants = true) : table_(table), wants_(wants) {}
    void begin_row() override {
        ++row_;
        column_ = 0;
    }
    void text(std::string_view) override { ++column_; }
    void integer(std::int64_t) override { ++column_; }
    void number(double, Shown) override { ++column_; }
    void time(Time) override { ++column_; }
    void missing() override { ++column_; }
    void end_row() override {}
    bool wants_notes() const override { return wants_; }
    void note(std::string_view why) override {
        notes[{row_ - 1, table_.columns()[column_ - 1].name}] = std::string(why);
    }
    std::map<std::pair<std::size_t, std::string>, std::string> notes;

  private:
    const Table& table_;
    bool wants_;
    std::size_t row_ = 0, column_ = 0;
};

std::map<std::pair<std::size_t, std::string>, std::string> notes_of(const Table& table, bool wants = true) {
    NoteSink sink(table, wants);
    table.write(0, table.rows(), sink);
    return sink.notes;
}

} // namespace

TEST_CASE("flagged readings are those with a verdict other than use, or with a marked value") {
    const auto holder = make_season(
        {reading("A", "6", "36"), reading("B", "6", "50"), reading("C", "9", "36"), reading("D", "6", "36")});
    holder->find("above-expected", Severity::review, 1, "protein");
    holder->find("moisture-high", Severity::exclude, 2);
    ReadingsOptions options;
    options.flagged = true;
    const auto table = readings_table(holder->season(), options);
    const auto rows = test::rows_of(*table).rows;
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].at("sample") == "B");
    CHECK(rows[1].at("sample") == "C");
    CHECK(rows[1].at("verdict") == "exclude");
}

TEST_CASE("a marked value is noted with what was found and where, in readings, samples and lines") {
    const auto holder =
        make_season({reading("A", "6", "36"), reading("A", "6", "50")}, {entry("A", "L-1", "1")});
    holder->find("moisture-absent", Severity::exclude, 1, "protein");
    const auto means = sample_means(holder->season());
    const auto readings = readings_table(holder->season(), {});
    const auto of_readings = notes_of(*readings);
    REQUIRE(of_readings.size() == 1);
    CHECK(of_readings.begin()->first == std::pair<std::size_t, std::string>(1, "protein"));
    const std::string place = holder->batch.readings.files[0].source + ":";
    CHECK(of_readings.begin()->second.find(place) != std::string::npos);
    CHECK(notes_of(*samples_table(holder->season(), *means)).at({0, "protein"}) ==
          of_readings.begin()->second);
    CHECK(notes_of(*lines_table(holder->season(), *means, {})).at({0, "protein"}) ==
          of_readings.begin()->second);
    // Nobody pays for notes that are not wanted.
    CHECK(notes_of(*readings, false).empty());
}

TEST_CASE("a value that a finding of a later session marks is noted with that finding") {
    std::vector<test::Row> rows = {reading("A", "6", "36"), reading("B", "6", "36.3")};
    rows[0].time = "2026-08-03T08:00";
    rows[1].time = "2026-08-06T08:00";
    const auto holder = make_season(rows, {entry("A", "L-1"), entry("B", "L-1")});
    Finding control;
    control.code = rules::code_index("session-offset").value();
    control.severity = Severity::review;
    control.about = About::session;
    control.constituent = constituent::protein;
    control.row = 1;
    control.subject = holder->batch.session[1];
    control.detail = 0;
    holder->judgement.details = {"all of that day is high"};
    holder->judgement.findings = {control};
    holder->judgement.session_marks = {{{0, constituent::protein, Mark::review}, 1, control.code}};
    holder->judgement.marks = {{0, constituent::protein, Mark::review}};
    holder->index();
    const auto notes = notes_of(*readings_table(holder->season(), {}));
    REQUIRE(notes.contains({0, "protein"}));
    CHECK(notes.at({0, "protein"}).starts_with("all of that day is high"));
}

TEST_CASE("people see what an excluded value was, files miss it") {
    const auto holder = make_season({reading("A", "6", "36"), reading("A", "6", "50")});
    holder->find("moisture-absent", Severity::exclude, 1, "protein");
    const StoredTable kept(*readings_table(holder->season(), {}));
    std::size_t column = 0;
    while (kept.columns()[column].name != "protein")
        ++column;
    CHECK(kept.data()[0][column].shown == Shown::plain);
    CHECK(kept.data()[1][column].shown == Shown::left_out);
    CHECK(std::get<double>(kept.data()[1][column].value) == Approx(50.0 * 87 / 94));
    CHECK(only_for_people(Shown::left_out));
    // Nor does it meet a condition.
    Selection selection;
    selection.where = {"protein > 40"};
    CHECK(select_rows(kept, selection).value()->rows() == 0);
}

TEST_CASE("a provisional mean is noted as such, with why its readings are excluded") {
    const auto holder = make_season({reading("A", "9", "36")}, {entry("A", "L-1", "1")});
    holder->find("moisture-high", Severity::exclude, 0);
    const auto means = sample_means(holder->season());
    const auto lines = lines_table(holder->season(), *means, {});
    CHECK(test::rows_of(*lines).rows[0].at("protein").starts_with("~"));
    const std::string note = notes_of(*lines).at({0, "protein"});
    CHECK(note.starts_with("provisional: all readings of the line are excluded\n"));
    CHECK(note.find(":2)") != std::string::npos);
}

TEST_CASE("charts of lines take the largest means first and leave provisional ones out") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    for (int i = 0; i < 30; ++i) {
        const std::string id = "S" + std::to_string(100 + i);
        rows.push_back(reading(id, "13", std::to_string(30 + i % 7) + "." + std::to_string(i), "20"));
        rows.push_back(reading(id + "b", "13", std::to_string(31 + i % 7) + "." + std::to_string(i), "21"));
        entries.push_back(entry(id, "L" + std::to_string(100 + i), std::to_string(2 * i + 1)));
        entries.push_back(entry(id + "b", "L" + std::to_string(100 + i), std::to_string(2 * i + 2)));
    }
    rows.push_back(reading("X", "13", "60"));
    entries.push_back(entry("X", "TOP", "99"));
    const auto holder = make_season(std::move(rows), std::move(entries));
    for (RowId row = 0; row < holder->batch.kind.size(); ++row)
        if (holder->batch.samples[holder->batch.sample[row]].id == "X")
            holder->find("moisture-high", Severity::exclude, row);
    const auto means = sample_means(holder->season());
    const auto lines = lines_table(holder->season(), *means, {});
    const auto charts = line_charts(holder->season(), *lines);
    REQUIRE(charts.size() == 1);
    CHECK(charts[0].material == "soy");
    CHECK(charts[0].ranked == "protein");
    CHECK(charts[0].other == "oil");
    CHECK(charts[0].lines == 30);
    CHECK(charts[0].pairs.size() == 30);
    REQUIRE(charts[0].best.size() == LineChart::kMostRanked);
    for (std::size_t i = 1; i < charts[0].best.size(); ++i)
        CHECK(charts[0].best[i - 1].mean >= charts[0].best[i].mean);
    const auto table = test::rows_of(*lines);
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        if (table.rows[row].at("line") == charts[0].best[0].line) {
            CHECK(charts[0].best[0].mean == table.numbers.at({row, "protein"}));
            CHECK(charts[0].best[0].se.value() == table.numbers.at({row, "protein_se"}));
            CHECK(charts[0].best[0].line != "TOP");
        }
}

TEST_CASE("one line is no chart, and neither is none") {
    const auto one = make_season({reading("A", "6", "36")}, {entry("A", "L-1", "1")});
    const auto means = sample_means(one->season());
    CHECK(line_charts(one->season(), *lines_table(one->season(), *means, {})).empty());
    const auto none = make_season({});
    const auto no_means = sample_means(none->season());
    CHECK(line_charts(none->season(), *lines_table(none->season(), *no_means, {})).empty());
}

TEST_CASE("what is said about the computation names formulas, sources, findings and cautions") {
    const auto holder = make_season({reading("A", "6", "36")}, {entry("A", "L-1", "1")});
    holder->find("above-expected", Severity::review, 0, "protein");
    const auto means = sample_means(holder->season());
    std::map<std::string, HowSection> sections;
    for (const HowSection& section : how_computed(holder->season(), *means))
        sections[section.title] = section;
    CHECK(sections.at("Cautions").entries.size() >= 6);
    const auto& derived = sections.at("Derived constituents and traits").entries;
    REQUIRE(derived.size() >= 1);
    CHECK(derived[0].what == "protein_plus_oil");
    CHECK(!derived[0].source.empty());
    REQUIRE(sections.at("Findings of this season").entries.size() == 1);
    const HowEntry& found = sections.at("Findings of this season").entries[0];
    CHECK(found.what == "above-expected");
    CHECK(found.how.starts_with("1 found: "));
    CHECK(!found.source.empty());
    CHECK(sections.at("Materials read").entries[0].how == "1 reading; results on 13 % moisture basis");
    CHECK(sections.at("What became of the rows").entries[0].how.starts_with("1: "));
}

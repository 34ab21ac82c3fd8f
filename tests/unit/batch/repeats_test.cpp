#include "unit/support/readings_builder.hpp"

#include <catch2/catch.hpp>

#include <thresh/batch/batch.hpp>
#include <thresh/batch/has_more.hpp>

using namespace thresh;
using namespace thresh::batch;
using thresh::test::make_readings;
using thresh::test::Row;

namespace {

using Values = std::vector<std::pair<std::string, std::string>>;

Row reading(std::string source, std::string time, Values values, std::string sample = "S1",
            std::string instrument = "N1") {
    return {.source = std::move(source),
            .time = std::move(time),
            .sample = std::move(sample),
            .instrument = std::move(instrument),
            .analysis = "Soy",
            .values = std::move(values)};
}

Batch put(std::vector<Row> rows, Settings settings = {}) {
    return assemble(make_readings(std::move(rows)), {}, {}, settings);
}

// Rows counted as repeated, with the reading that stands, `!` when values changed and `+` when the row has
// constituents that the reading that stands lacks.
std::string repeats_of(const Batch& batch) {
    std::string text;
    for (const Repeat& repeat : batch.repeats) {
        CHECK(batch.kind[repeat.row] == Kind::repeated);
        text += (text.empty() ? "" : " ") + std::to_string(repeat.row) + "=" + std::to_string(repeat.first) +
                (repeat.changed ? "!" : "") + (has_more(batch, repeat.row, repeat.first) ? "+" : "");
    }
    return text;
}

const Values kFull = {{"moisture", "6.51"}, {"protein", "38.42"}, {"oil", "20.13"}};
const std::string kTime = "2026-08-03T07:41:09";

} // namespace

TEST_CASE("the same reading in another file counts once, whatever the column order and decimals shown") {
    const Batch batch =
        put({reading("a.csv", kTime, kFull),
             reading("b.csv", kTime, {{"oil", "20.1"}, {"protein", "38.4"}, {"moisture", "6.5"}})});
    CHECK(repeats_of(batch) == "1=0");
    CHECK(batch.kind[0] == Kind::seed);
    CHECK(batch.rows_of(0).size() == 1);
    CHECK(batch.session[1] == batch.session[0]);
}

TEST_CASE("the same reading with other values is told as changed, and the first one stands") {
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull),
                          reading("b.csv", kTime, {{"protein", "38.44"}, {"oil", "20.13"}})})) == "1=0!");
}

TEST_CASE("a value cut to fewer decimals may have been rounded either way, but not further") {
    const auto shown = [](const char* text) {
        return repeats_of(put(
            {reading("a.csv", kTime, {{"protein", "38.45"}}), reading("b.csv", kTime, {{"protein", text}})}));
    };
    CHECK(shown("38.4") == "1=0");
    CHECK(shown("38.5") == "1=0");
    CHECK(shown("38") == "1=0");
    CHECK(shown("38.450") == "0=1"); // more decimals
    CHECK(shown("38.3") == "1=0!");
    CHECK(shown("38.451") == "0=1");
    CHECK(shown("38.456") == "0=1!");
}

TEST_CASE("another second, instrument, analysis or sample is another reading") {
    Row other_analysis = reading("b.csv", kTime, kFull);
    other_analysis.analysis = "Soy v2";
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull), reading("b.csv", "2026-08-03T07:41:10", kFull),
                          reading("c.csv", kTime, kFull, "S1", "N2"), reading("d.csv", kTime, kFull, "S2"),
                          other_analysis})) == "");
}

TEST_CASE("two packets read within one minute are two readings") {
    const std::string minute = "2026-08-03T07:41";
    const Values second_packet = {{"moisture", "6.55"}, {"protein", "38.61"}, {"oil", "20.02"}};
    CHECK(repeats_of(put({reading("a.csv", minute, kFull), reading("a.csv", minute, second_packet),
                          reading("b.csv", minute, kFull), reading("b.csv", minute, second_packet)})) ==
          "2=0 3=1");
}

TEST_CASE("an export that lost the seconds repeats one that has them") {
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull), reading("b.csv", "2026-08-03T07:41", kFull)})) ==
          "1=0");
    // The last second of the minute still is in it.
    CHECK(repeats_of(put({reading("a.csv", "2026-08-03T07:41", kFull),
                          reading("b.csv", "2026-08-03T07:41:59", kFull)})) == "1=0");
}

TEST_CASE("without times readings of two files are the same only when enough decimals are equal") {
    CHECK(repeats_of(put({reading("a.csv", "", kFull), reading("b.csv", "", kFull)})) == "1=0");
    const Values few = {{"protein", "38.4"}, {"oil", "20.1"}};
    CHECK(repeats_of(put({reading("a.csv", "", few), reading("b.csv", "", few)})) == "");
    CHECK(repeats_of(put({reading("a.csv", "2026-08-03", kFull), reading("b.csv", "2026-08-03", kFull)})) ==
          "1=0");
    CHECK(repeats_of(put({reading("a.csv", "2026-08-03", kFull), reading("b.csv", "2026-08-04", kFull)})) ==
          "");
}

TEST_CASE("in one table rows without seconds repeat each other only when they follow each other") {
    const Values other = {{"moisture", "6.55"}, {"protein", "38.61"}, {"oil", "20.02"}};
    CHECK(repeats_of(put({reading("a.csv", "", kFull), reading("a.csv", "", kFull),
                          reading("a.csv", "", other), reading("a.csv", "", kFull)})) == "1=0");
}

TEST_CASE("an export that shows :00 in every row shows no seconds") {
    std::vector<Row> rows;
    for (int i = 0; i < 12; ++i)
        rows.push_back(reading("a.csv", "2026-08-03T07:" + std::to_string(10 + i) + ":00", kFull,
                               "S" + std::to_string(i)));
    rows.push_back(reading("a.csv", "2026-08-03T07:21:00", {{"protein", "39.98"}}, "S11"));
    CHECK(repeats_of(put(rows)) == "");
    for (Row& row : rows)
        row.time = "2026-08-03T00:00:00"; // dates only
    CHECK(repeats_of(put(rows)) == "");
}

TEST_CASE("files that share their heading's columns are still two tables") {
    const Values seconds = {{"moisture", "6.55"}, {"protein", "38.61"}};
    std::vector<Row> rows;
    for (int i = 0; i < 12; ++i)
        rows.push_back(reading("a.csv", "2026-08-03T07:" + std::to_string(10 + i) + ":00", kFull,
                               "S" + std::to_string(i)));
    rows.push_back(reading("b.csv", "2026-08-03T07:21:09", kFull, "S11"));
    rows.push_back(reading("b.csv", "2026-08-03T07:30:09", seconds, "S12"));
    const auto found = [&](bool shared) {
        Readings readings = make_readings(rows);
        REQUIRE(readings.blocks.size() == 2);
        REQUIRE(*readings.blocks[0].table == *readings.blocks[1].table);
        if (shared)
            readings.blocks[1].table = readings.blocks[0].table;
        return repeats_of(assemble(std::move(readings), {}, {}, {}));
    };
    CHECK(found(true) == "12=11"); // the first file shows no seconds, the second does
    CHECK(found(true) == found(false));
}

TEST_CASE("values on different stated bases are not compared") {
    CHECK(repeats_of(put({reading("a.csv", kTime, {{"protein", "38.42"}}),
                          reading("b.csv", kTime, {{"protein@dry", "41.10"}})})) == "1=0");
}

TEST_CASE("complementary exports have nothing in common that makes them one reading: both count") {
    const Values oleic = {{"oleic", "23.5"}, {"linoleic", "53.1"}};
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull), reading("b.csv", kTime, oleic)})) == "");
    CHECK(repeats_of(put({reading("a.csv", kTime, {{"protein", "38.42"}, {"oil", ""}}),
                          reading("a.csv", kTime, {{"protein", ""}, {"oil", "20.1"}})})) == "");
    // A distance is no result by which a reading could be known.
    CHECK(repeats_of(put({reading("a.csv", kTime, {{"protein", "38.42"}, {"calibration_distance", "1.2"}}),
                          reading("b.csv", kTime, {{"oil", "20.1"}, {"calibration_distance", "1.2"}})})) ==
          "");
    // Without any value there is nothing to lose.
    CHECK(repeats_of(put({reading("a.csv", kTime, {{"protein", ""}}), reading("b.csv", kTime, kFull)})) ==
          "0=1");
}

TEST_CASE("with minutes only, files of two calibrations that share no constituent were not predicted again") {
    std::vector<Row> rows;
    for (int i = 0; i < 5; ++i)
        for (const bool acids : {false, true}) {
            rows.push_back(reading(acids ? "b.csv" : "a.csv", "2026-08-03T07:4" + std::to_string(i),
                                   {{acids ? "oleic" : "protein", "38.4" + std::to_string(i)}},
                                   "S" + std::to_string(i)));
            rows.back().calibration = acids ? "v2" : "v1";
        }
    CHECK(put(rows).repeats.empty());
}

TEST_CASE("of two rows of a reading the one with more constituents counts, then the one with more decimals") {
    const Values cut_off = {{"moisture", "6.5"}, {"protein", "38"}};
    const Values rounded = {{"moisture", "6.5"}, {"protein", "38.4"}, {"oil", "20.1"}};
    for (const Values& less : {cut_off, rounded}) {
        CHECK(repeats_of(put({reading("a.csv", kTime, less), reading("b.csv", kTime, kFull)})) == "0=1");
        CHECK(repeats_of(put({reading("a.csv", kTime, kFull), reading("b.csv", kTime, less)})) == "1=0");
    }
    CHECK(repeats_of(put({reading("a.csv", kTime, cut_off), reading("b.csv", kTime, rounded),
                          reading("c.csv", kTime, kFull)})) == "0=2 1=2");
    // A number that was cut off within.
    CHECK(repeats_of(put({reading("a.csv", kTime, {{"moisture", "6.5"}, {"protein", "3"}}),
                          reading("b.csv", kTime, kFull)})) == "0=1!");
    // In one table, without seconds, where a row repeats only the one before.
    CHECK(repeats_of(put({reading("a.csv", "", {{"moisture", "6.51"}, {"protein", "38.42"}, {"oil", ""}}),
                          reading("a.csv", "", kFull)})) == "0=1");
    const Batch kept = put({reading("a.csv", kTime, cut_off), reading("b.csv", kTime, kFull)});
    CHECK(kept.kind[1] == Kind::seed);
    CHECK(kept.session[0] == kept.session[1]);
}

TEST_CASE("rows that together make up a reading count once, and what one has beyond the other is known") {
    const Values one = {{"moisture", "6.51"}, {"protein", "38.42"}};
    const Values other = {{"moisture", "6.51"}, {"oil", "20.13"}};
    const Values trace = {{"moisture", "6.51"}, {"oleic", "<0.05"}};
    CHECK(repeats_of(put({reading("a.csv", kTime, one), reading("b.csv", kTime, other)})) == "1=0+");
    CHECK(repeats_of(put({reading("a.csv", kTime, one), reading("b.csv", kTime, trace)})) == "1=0+");
    const Batch three =
        put({reading("a.csv", kTime, one), reading("b.csv", kTime, other), reading("c.csv", kTime, kFull)});
    CHECK(repeats_of(three) == "0=2 1=2");
}

TEST_CASE("the later calibration counts even where it has fewer constituents, and what it lacks is known") {
    std::vector<Row> rows;
    for (int i = 0; i < 3; ++i)
        for (const std::string version : {"v1", "v2"}) {
            const Values values = version == "v1" ? Values{{"protein", "38.42"}, {"oil", "20.1"}}
                                                  : Values{{"protein", "38.97"}};
            Row row = reading(version + ".csv", "2026-08-03T07:41:1" + std::to_string(i), values,
                              "S" + std::to_string(i));
            row.calibration = version;
            rows.push_back(row);
        }
    const Batch batch = put(rows);
    CHECK(repeats_of(batch) == "0=3!+ 1=4!+ 2=5!+");
}

TEST_CASE(
    "the one of two changed rows that is dropped lets the other count, and the same reading stays one") {
    const auto found = [](const char* protein, const std::string& source) {
        Decision drop;
        drop.action = Decision::Action::drop;
        drop.source = source;
        const Values other = {{"moisture", "6.51"}, {"protein", protein}, {"oil", "20.13"}};
        const Batch batch = assemble(
            make_readings({reading("a.csv", kTime, kFull), reading("b.csv", kTime, other)}), {}, {drop}, {});
        return repeats_of(batch) + (batch.kind[0] == Kind::seed ? " a" : "") +
               (batch.kind[1] == Kind::seed ? " b" : "");
    };
    CHECK(found("36.11", "c.csv") == "1=0! a");
    CHECK(found("36.11", "a.csv") == " a b");
    CHECK(found("36.11", "b.csv") == " a b");
    CHECK(found("38.42", "a.csv") == "1=0 a");
    CHECK(found("38.42", "b.csv") == "1=0 a");
}

TEST_CASE("a standard or control exported again counts once too, ignored rows neither repeat nor stand") {
    Settings settings;
    settings.controls = {"CTRL"};
    settings.ignore.source = {"old*"};
    const Batch batch = put({reading("a.csv", kTime, kFull, "CTRL"), reading("b.csv", kTime, kFull, "CTRL"),
                             reading("b.csv", kTime, kFull, "S1"), reading("old.csv", kTime, kFull, "S1"),
                             reading("z.csv", kTime, kFull, "S1")},
                            settings);
    CHECK(repeats_of(batch) == "1=0 4=2");
    CHECK(batch.kind[3] == Kind::ignored);
}

TEST_CASE("readings without ID are the same by time and instrument, or by their values") {
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull, ""), reading("b.csv", kTime, kFull, "")})) == "1=0");
    CHECK(repeats_of(put({reading("a.csv", kTime, {{"protein", "38.42"}}, "", ""),
                          reading("b.csv", kTime, {{"protein", "35.00"}}, "", "")})) == "");
}

TEST_CASE("an export without instrument column repeats one that names it when the values agree") {
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull), reading("b.csv", kTime, kFull, "S1", "")})) ==
          "1=0");
    CHECK(repeats_of(put({reading("a.csv", kTime, kFull),
                          reading("b.csv", kTime, {{"protein", "35.00"}}, "S1", "")})) == "");
}

TEST_CASE("a file predicted again is told as one overlap with both calibrations") {
    std::vector<Row> rows;
    for (int i = 0; i < 5; ++i)
        for (const auto* version : {"v1", "v2"}) {
            Row row = reading(std::string(version) + ".csv", "2026-08-03T07:41:1" + std::to_string(i),
                              {{"protein", version[1] == '1' ? "38.42" : "38.97"}}, "S" + std::to_string(i));
            row.calibration = version;
            rows.push_back(row);
        }
    const Batch batch = put(rows);
    REQUIRE(batch.overlaps.size() == 1);
    const Overlap& overlap = batch.overlaps[0];
    CHECK(overlap.repeated == 5);
    CHECK(overlap.changed == 5);
    CHECK(batch.readings.pool(TextField::calibration)[overlap.first_calibration] == "v2");
    CHECK(batch.readings.pool(TextField::calibration)[overlap.calibration] == "v1");
}

namespace {

// Five readings, in each file under one calibration.
std::vector<Row> predicted(const std::vector<std::pair<std::string, std::string>>& files,
                           const std::string& seconds) {
    std::vector<Row> rows;
    for (const auto& [source, calibration] : files)
        for (int i = 0; i < 5; ++i) {
            const std::string value = std::to_string(38 + static_cast<int>(calibration.size())) + "." +
                                      std::to_string(static_cast<int>(calibration.back())) +
                                      std::to_string(i);
            Row row = reading(source, "2026-08-03T07:4" + std::to_string(i) + seconds, {{"protein", value}},
                              "S" + std::to_string(i));
            row.calibration = calibration;
            rows.push_back(row);
        }
    return rows;
}

// Files of the readings that count.
std::string counted(const Batch& batch) {
    std::string text;
    for (RowId row = 0; row < batch.kind.size(); ++row)
        if (batch.kind[row] == Kind::seed) {
            const std::string& source = batch.readings.files[batch.block_of(row).file].source;
            if (text.find(source) == std::string::npos)
                text += source + " ";
        }
    return text;
}

} // namespace

TEST_CASE("of two calibrations the later name counts, whatever the files are called") {
    for (const std::string seconds : {":07", ""}) {
        CHECK(counted(put(predicted({{"a.csv", "Soy v9"}, {"b.csv", "Soy v10"}}, seconds))) == "b.csv ");
        CHECK(counted(put(predicted({{"a.csv", "Soy v10"}, {"b.csv", "Soy v9"}}, seconds))) == "a.csv ");
        CHECK(counted(put(predicted({{"a.csv", "2025-08"}, {"b.csv", "2026-07"}}, seconds))) == "b.csv ");
    }
    const Batch three = put(predicted({{"a.csv", "v1"}, {"b.csv", "v3"}, {"c.csv", "v2"}}, ":07"));
    CHECK(counted(three) == "b.csv ");
    CHECK(three.repeats.size() == 10);
    for (const Repeat& repeat : three.repeats)
        CHECK((three.kind[repeat.first] == Kind::seed && repeat.changed));
    CHECK(three.overlaps.size() == 2);
}

TEST_CASE("a file with minutes only that was predicted again is one overlap, not twice as many readings") {
    const Batch batch = put(predicted({{"a.csv", "v1"}, {"b.csv", "v2"}}, ""));
    REQUIRE(batch.overlaps.size() == 1);
    CHECK(batch.overlaps[0].predicted_again());
    CHECK(batch.overlaps[0].changed == 5);
    CHECK(batch.rows_of(0).size() == 1);
}

TEST_CASE("with minutes only, files that share no more than some moments were not predicted again") {
    auto rows = predicted({{"a.csv", "v1"}, {"b.csv", "v2"}}, "");
    rows[9].time = "2026-08-03T09:00"; // one reading of each file stands alone
    CHECK(put(rows).repeats.empty());
    CHECK(put(predicted({{"a.csv", "v1"}, {"b.csv", "v1"}}, "")).repeats.size() == 5); // the same values
    auto one_calibration = predicted({{"a.csv", "v1"}, {"b.csv", "v2"}}, "");
    for (Row& row : one_calibration)
        row.calibration = "v1";
    CHECK(put(one_calibration).repeats.empty()); // two packets a minute
}

TEST_CASE("repeats are found among thousands of readings under one ID") {
    std::vector<Row> rows;
    for (int copy = 0; copy < 2; ++copy)
        for (int i = 0; i < 3000; ++i) {
            const std::string value = std::to_string(30000 + i).insert(2, ".");
            const std::string source = copy == 0 ? "a.csv" : "b.csv";
            const std::string time = to_text(Time::of(1785000000 + 61 * i, Time::Precision::second));
            rows.push_back(reading(source, time, {{"protein", value}, {"oil", "20.11"}}, "CTRL"));
            rows.push_back(reading(source, "", {{"protein", value}, {"oil", "20.11"}}, ""));
        }
    const Batch batch = put(rows);
    CHECK(batch.repeats.size() == 6000);
    for (const Repeat& repeat : batch.repeats)
        REQUIRE(repeat.row == repeat.first + 6000);
}

TEST_CASE("a reading exported again is found whatever readings of its own and of the next sample are near") {
    // Samples are read one to four times, minutes apart, the next sample within a minute of the last reading.
    // Every seventh reading stands in the second file too; samples fill several stretches of the work.
    std::vector<Row> rows;
    std::vector<std::string> times;
    for (int sample = 0; sample < 15000; ++sample)
        for (int again = 0; again <= sample % 4; ++again) {
            const std::int64_t second = 1785000000 + 20 * sample + (again == 1 ? 59 : 60 * again);
            times.push_back(to_text(Time::of(second, Time::Precision::second)));
            rows.push_back(reading("a.csv", times.back(), {{"protein", std::to_string(30 + again) + ".11"}},
                                   "S" + std::to_string(100000 + sample)));
        }
    const std::size_t read = rows.size();
    std::vector<std::pair<RowId, RowId>> expected;
    for (std::size_t i = 0; i < read; i += 7) {
        expected.emplace_back(static_cast<RowId>(rows.size()), static_cast<RowId>(i));
        rows.push_back(rows[i]);
        rows.back().source = "b.csv";
    }
    Settings settings;
    settings.threads = 2;
    const Batch batch = put(std::move(rows), settings);
    REQUIRE(batch.repeats.size() == expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i)
        REQUIRE(std::pair(batch.repeats[i].row, batch.repeats[i].first) == expected[i]);
}

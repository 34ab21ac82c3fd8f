#include "unit/batch/batch_builder.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace thresh;
using namespace thresh::batch;
using namespace thresh::test;

namespace {

std::string material_of(const Batch& batch, RowId row) {
    return batch.material[row] == kNoMaterial ? "" : batch.material_names[batch.material[row]];
}

std::vector<std::string> ids_of(const Batch& batch) {
    std::vector<std::string> ids;
    for (const Sample& sample : batch.samples)
        ids.emplace_back(sample.id);
    return ids;
}

} // namespace

TEST_CASE("standards are recognised before controls, controls before what is ignored") {
    Settings settings = soy_settings();
    settings.ignore.sample = {"test*", "CTRL-OLD"};
    const Batch batch = put({{.sample = "CTRL-A", .analysis = "Polystyrene"},
                             {.sample = "ctrl-old", .analysis = "Soy whole"},
                             {.sample = "Test 1", .analysis = "Soy whole"},
                             {.sample = "S1", .instrument = "Old one"},
                             {.sample = "S1", .analysis = "Soy whole"}},
                            settings);
    CHECK(batch.kind ==
          std::vector<Kind>{Kind::standard, Kind::control, Kind::ignored, Kind::ignored, Kind::seed});
}

TEST_CASE("a selected time leaves out standards and controls of other sessions too, a selected material only "
          "seed") {
    Settings settings = soy_settings();
    settings.from = time_from_iso("2026-08-03");
    settings.to = time_from_iso("2026-08-03");
    settings.only_material = "soybean-*";
    const Batch batch = put({{.time = "2026-08-02T11:00:00", .sample = "P", .analysis = "Polystyrene"},
                             {.time = "2026-08-02T23:59:59", .sample = "P", .analysis = "Polystyrene"},
                             {.time = "2026-08-03T00:00:00", .sample = "P", .analysis = "Polystyrene"},
                             {.time = "2026-08-03T08:00:00", .sample = "CTRL-A"},
                             {.time = "2026-08-03T08:01:00", .sample = "S1", .analysis = "Soy whole"},
                             {.time = "2026-08-03T23:59:59", .sample = "S2", .material = "Erdnuss"},
                             {.time = "2026-08-04T00:00:00", .sample = "S3", .analysis = "Soy whole"},
                             {.time = "2026-08-04T00:00:00", .sample = "test", .analysis = "Soy whole"},
                             {.sample = "S4", .analysis = "Soy whole"}},
                            settings);
    CHECK(batch.kind == std::vector<Kind>{Kind::outside_selection, Kind::standard, Kind::standard,
                                          Kind::control, Kind::seed, Kind::outside_selection,
                                          Kind::outside_selection, Kind::ignored, Kind::outside_selection});
    CHECK(batch.lines.size() == 1);
}

TEST_CASE("material is the list's, else the column's, else the patterns', else the assumed one") {
    Settings settings = soy_settings();
    settings.assume_material = "soybean";
    const Batch batch = put({{.sample = "A", .analysis = "Soy whole", .material = "Soybean-Ground"},
                             {.sample = "B", .analysis = "Soy whole", .material = "soybean-ground"},
                             {.sample = "C", .analysis = "Soy whole", .material = "unheard of"},
                             {.sample = "D", .analysis = "other", .material = "Erdnuss, ganz"},
                             {.sample = "E", .analysis = "other"}},
                            settings, list_of({entry("A", "L1", "peanut-whole"), entry("C", "L1", "soya")}));
    CHECK(material_of(batch, 0) == "peanut-whole");
    CHECK(batch.material_names[batch.own_material[0]] == "soybean-ground");
    CHECK(material_of(batch, 1) == "soybean-ground");
    CHECK(material_of(batch, 2) == "soybean-whole");
    CHECK(material_of(batch, 3) == "peanut-whole");
    CHECK(material_of(batch, 4) == "soybean");
    CHECK(batch.own_material[4] == kNoMaterial);
    CHECK(material_of(put({{.sample = "E", .analysis = "other"}}, soy_settings()), 0) == "");
}

TEST_CASE("a list that names only the crop leaves the presentation to the reading") {
    const Batch batch = put({{.sample = "A", .analysis = "Soy ground"},
                             {.sample = "A", .analysis = "other"},
                             {.sample = "A", .material = "Erdnuss"}},
                            soy_settings(), list_of({entry("A", "L1", "soybean")}));
    CHECK(material_of(batch, 0) == "soybean-ground");
    CHECK(material_of(batch, 1) == "soybean");
    CHECK(material_of(batch, 2) == "soybean");
}

TEST_CASE("samples are those read and those listed, bytewise, with their rows in canonical order") {
    const Batch batch =
        put({{.source = "b.csv", .sample = "S2"},
             {.source = "b.csv", .sample = ""},
             {.source = "b.csv", .sample = "S10"},
             {.source = "a.csv", .sample = "S2"},
             {.source = "a.csv", .sample = "CTRL-A"}},
            soy_settings(), list_of({entry("S9", "L1"), entry("S10", "L1"), entry("A", "L2")}));
    CHECK(ids_of(batch) == std::vector<std::string>{"A", "CTRL-A", "S10", "S2", "S9"});
    CHECK(batch.sample == std::vector<std::uint32_t>{3, 1, 3, kNone, 2});
    const auto rows = batch.rows_of(3);
    CHECK(std::vector<RowId>(rows.begin(), rows.end()) == std::vector<RowId>{0, 2});
    CHECK(batch.rows_of(1).empty()); // a control is no seed
    CHECK(batch.rows_of(0).empty());
    CHECK(batch.samples[2].entry == 1);
    CHECK(batch.samples[3].entry == kNone);
    CHECK(batch.samples[3].line == kNone); // unlisted: in no line
    REQUIRE(batch.lines.size() == 2);
    CHECK(batch.lines[0].name == "L1");
    CHECK(batch.lines[0].plots.size() == 2);
    CHECK(batch.lines[1].listed_plots == 1);
}

TEST_CASE(
    "a sample's seed readings are listed whichever of its readings and of its neighbours' are not seed") {
    std::vector<Row> rows;
    std::vector<std::vector<RowId>> expected;
    for (int s = 0; s < 300; ++s) { // samples without, with some and with nothing but ignored readings
        const std::string id = "S" + std::to_string(100 + s);
        expected.emplace_back();
        for (int i = 0; i < 1 + s % 5; ++i) {
            const bool ignored = s % 7 == 0 || (s % 7 < 4 && (i + s) % 3 == 0);
            if (!ignored)
                expected.back().push_back(static_cast<RowId>(rows.size()));
            rows.push_back({.time = to_text(Time::of(1785000000 + 600 * static_cast<int>(rows.size()),
                                                     Time::Precision::second)),
                            .sample = id,
                            .instrument = ignored ? "Old 1" : "N1",
                            .values = {{"protein", "36.5"}}});
        }
    }
    rows.push_back({.sample = "", .values = {{"protein", "36.5"}}}); // behind all groups
    SampleList list = list_of({entry("S050", "LE1"), entry("S150X", "LE2"), entry("S999", "LE3")});
    const Batch batch = put(std::move(rows), soy_settings(), std::move(list));
    REQUIRE(batch.samples.size() == 303);
    std::size_t next = 0;
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
        const auto seed = batch.rows_of(s);
        if (batch.samples[s].entry != kNone)
            CHECK(seed.empty());
        else
            REQUIRE(std::vector<RowId>(seed.begin(), seed.end()) == expected[next++]);
    }
}

TEST_CASE("every listed ID is found among those read, whatever the order of the list") {
    std::vector<Row> rows;
    std::vector<ListEntry> entries;
    const auto id_of = [](int i) { return "S" + std::to_string(100000 + i); };
    for (int i = 0; i < 6000; ++i) {
        if (i % 7 != 0)
            rows.push_back({.source = "a.csv", .sample = id_of(i)});
        if (i % 5 != 0)
            entries.push_back(entry(id_of(i), "L"));
    }
    const auto check = [&](const std::vector<ListEntry>& list) {
        const Batch batch = put(rows, soy_settings(), list_of(list));
        std::size_t read = 0, listed = 0;
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
            const Sample& sample = batch.samples[s];
            read += !batch.rows_of(s).empty();
            if (sample.entry == kNone)
                continue;
            ++listed;
            REQUIRE(list[sample.entry].sample == sample.id);
        }
        CHECK(batch.samples.size() == 6000 - 172); // a row in 35 is neither read nor listed
        CHECK(read == rows.size());
        CHECK(listed == entries.size());
    };
    check(entries);
    std::ranges::reverse(entries);
    check(entries);
    std::rotate(entries.begin(), entries.begin() + 1700,
                entries.end()); // clang 14 cannot take the one of ranges
    check(entries);
}

TEST_CASE("without list or pattern each sample with seed is its own line") {
    const Batch batch =
        put({{.sample = "S2"}, {.sample = "S1"}, {.sample = "CTRL-A"}, {.sample = "S2"}}, soy_settings());
    REQUIRE(batch.lines.size() == 2);
    CHECK(batch.lines[0].name == "S1");
    CHECK(batch.lines[1].plots.size() == 1);
    CHECK(batch.plots[batch.lines[1].plots[0]].samples.size() == 1);
    CHECK_FALSE(batch.has_trials);
    CHECK_FALSE(batch.has_plots);
    CHECK(batch.lines[0].listed_plots == 0);
}

TEST_CASE("a session ends at a gap above the given hours, on each instrument by itself") {
    const Batch batch = put({{.time = "2026-08-03T08:00:00", .sample = "A", .instrument = "N2"},
                             {.time = "2026-08-03T12:00:00", .sample = "B", .instrument = "N2"},
                             {.time = "2026-08-03T16:00:01", .sample = "C", .instrument = "N2"},
                             {.time = "2026-08-03T09:00:00", .sample = "D", .instrument = "N1"},
                             {.time = "2026-08-03T07:00:00", .sample = "E", .instrument = "N1"}},
                            soy_settings());
    REQUIRE(batch.sessions.size() == 3);
    CHECK(batch.sessions[0].label == "N1@2026-08-03T07:00");
    CHECK(batch.sessions[0].rows == std::vector<RowId>{4, 3});
    CHECK(batch.sessions[1].label == "N2@2026-08-03T08:00");
    CHECK(to_text(batch.sessions[1].end) == "2026-08-03T12:00:00");
    CHECK(batch.sessions[2].rows == std::vector<RowId>{2});
    CHECK(batch.session == std::vector<std::uint32_t>{1, 1, 2, 0, 0});
    CHECK_FALSE(batch.sessions[0].rows_ascend);
    CHECK(batch.sessions[1].rows_ascend);
}

TEST_CASE("without times a session is an instrument's rows of one file") {
    const Batch batch = put({{.source = "a.csv", .sample = "A", .instrument = "N1"},
                             {.source = "b.csv", .sample = "B", .instrument = "N1"},
                             {.source = "b.csv", .sample = "C"}},
                            soy_settings());
    REQUIRE(batch.sessions.size() == 3);
    CHECK(batch.sessions[0].label == "N1@a.csv");
    CHECK(batch.sessions[1].label == "N1@b.csv");
    CHECK(batch.sessions[2].label == "unnamed@b.csv");
}

TEST_CASE("the block of every row is found") {
    std::vector<Row> rows;
    for (int i = 0; i < 1000; ++i)
        rows.push_back({.source = "f" + std::to_string(i % 7), .sample = "S" + std::to_string(i)});
    const Batch batch = assemble(make_readings(rows, 97), {}, {}, soy_settings());
    for (RowId row = 0; row < 1000; ++row) {
        const Block& block = batch.block_of(row);
        REQUIRE((block.first <= row && row < block.first + block.rows));
        REQUIRE(batch.in_block(row) == row - block.first);
    }
}

TEST_CASE("nothing read and nothing listed is an empty batch") {
    const Batch batch = put({}, soy_settings());
    CHECK(batch.samples.empty());
    CHECK(batch.lines.empty());
    CHECK(batch.sessions.empty());
    CHECK(batch.sample_begin == std::vector<std::uint32_t>{0});
}

TEST_CASE("the number of threads changes nothing") {
    std::vector<Row> rows;
    std::uint32_t state = 1;
    const auto draw = [&](std::uint32_t below) {
        return (state = state * 1664525 + 1013904223) / 65536 % below;
    };
    for (int i = 0; i < 40000; ++i)
        rows.push_back({.source = "f" + std::to_string(draw(5)),
                        .time = to_text(Time::of(1785000000 + draw(50000) * 7, Time::Precision::second)),
                        .sample = "T" + std::to_string(draw(3)) + "-L" + std::to_string(draw(900)) + "-" +
                                  std::to_string(draw(4)),
                        .instrument = "N" + std::to_string(draw(3)),
                        .analysis = draw(30) == 0 ? "Polystyrene" : "Soy whole",
                        .values = {{"protein", std::to_string(30 + draw(4)) + ".5"}}});
    Settings settings = soy_settings();
    settings.sample_id = "{trial}-{line}-{rep}";
    const Batch one = assemble(make_readings(rows, 1000), {}, {}, settings);
    CHECK(one.repeats.size() > 0);
    for (const unsigned threads : {2U, 7U}) {
        settings.threads = threads;
        const Batch many = assemble(make_readings(rows, 1000), {}, {}, settings);
        CHECK(many.kind == one.kind);
        CHECK(many.material == one.material);
        CHECK(many.sample == one.sample);
        CHECK(many.session == one.session);
        CHECK(many.sample_rows == one.sample_rows);
        CHECK(many.plot_samples == one.plot_samples);
        CHECK(many.line_plots == one.line_plots);
        REQUIRE(many.repeats.size() == one.repeats.size());
        for (std::size_t i = 0; i < one.repeats.size(); ++i)
            REQUIRE(
                (many.repeats[i].row == one.repeats[i].row && many.repeats[i].first == one.repeats[i].first));
        REQUIRE(many.sessions.size() == one.sessions.size());
        for (std::size_t i = 0; i < one.sessions.size(); ++i)
            REQUIRE(many.sessions[i].rows == one.sessions[i].rows);
    }
}

#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/picks.hpp>

#include <set>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

// `n` samples of a material, spread over a curve in protein and oil.
void add_samples(const std::string& material, const std::string& prefix, int n, std::vector<test::Row>& rows,
                 std::vector<batch::ListEntry>& entries) {
    for (int i = 0; i < n; ++i) {
        test::Row row;
        row.sample = fmt::format("{}{:02}", prefix, i);
        row.material = material;
        row.values = {{"moisture", "6.0"},
                      {"protein", fmt::format("{:.2f}", 36 + 0.4 * i)},
                      {"oil", fmt::format("{:.2f}", 20 - 0.03 * i * i)}};
        rows.push_back(row);
        entries.push_back(entry(row.sample, "L-" + row.sample, {}, material));
    }
}

std::set<std::string> ids(const test::SeasonHolder& holder, const Picks& picks) {
    std::set<std::string> found;
    for (const PickedSample& picked : picks.samples)
        found.insert(std::string(holder.batch.samples[picked.sample].id));
    return found;
}

PickOptions options(std::size_t count, double random = 0) {
    PickOptions made;
    made.count = count;
    made.random_percent = random;
    made.on = {constituent::protein, constituent::oil};
    return made;
}

} // namespace

TEST_CASE("a material's share is dealt out evenly over its oil types") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 12, rows, entries);
    add_samples("nut", "N", 12, rows, entries);
    for (batch::ListEntry& listed : entries)
        if (listed.sample == "N03" || listed.sample == "N05" || listed.sample == "N08")
            listed.oil_type = "high-oleic";
        else if (listed.sample[0] == 'N')
            listed.oil_type = "normal";
    const auto holder = make_season(rows, entries);
    const auto means = sample_means(holder->season());
    std::map<std::string, int> count;
    const auto picks = pick_samples(*means, options(8));
    REQUIRE(picks);
    for (const PickedSample& picked : picks->samples) {
        const std::string id(holder->batch.samples[picked.sample].id);
        ++count[id == "N03" || id == "N05" || id == "N08" ? "high-oleic" : id.substr(0, 1)];
    }
    CHECK(count == std::map<std::string, int>{{"S", 4}, {"N", 2}, {"high-oleic", 2}});
}

TEST_CASE("picks are shared out evenly over materials, and what one lacks goes to the others") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 12, rows, entries);
    add_samples("nut", "N", 2, rows, entries);
    const auto holder = make_season(rows, entries);
    const auto means = sample_means(holder->season());
    std::map<std::uint8_t, int> count;
    const auto four = pick_samples(*means, options(4)), nine = pick_samples(*means, options(9));
    for (const PickedSample& picked : four->samples)
        ++count[picked.material];
    CHECK(count == std::map<std::uint8_t, int>{{0, 2}, {1, 2}});
    count.clear();
    for (const PickedSample& picked : nine->samples)
        ++count[picked.material];
    CHECK(count == std::map<std::uint8_t, int>{{0, 7}, {1, 2}});
    const auto all = pick_samples(*means, options(50));
    CHECK(all->samples.size() == 14);
    CHECK_THAT(all->notes.back(), Catch::Contains("50 wanted"));
}

TEST_CASE("extremes and samples outside the calibration are picked first, faults never") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 12, rows, entries);
    const auto holder = make_season(rows, entries);
    holder->find("above-expected", Severity::review, 5, "protein");
    holder->find("outside-calibration", Severity::review, 6, "protein");
    holder->find("sum-off", Severity::review, 0);
    holder->find("moisture-high", Severity::exclude, 11);
    const auto means = sample_means(holder->season());
    const auto picks = pick_samples(*means, options(6));
    REQUIRE(picks);
    CHECK(holder->batch.samples[picks->samples[0].sample].id == "S06");
    CHECK(picks->samples[0].why == PickedFor::calibration);
    CHECK(holder->batch.samples[picks->samples[1].sample].id == "S05");
    CHECK(picks->samples[1].why == PickedFor::extreme);
    const auto found = ids(*holder, *picks);
    CHECK(found.count("S00") == 0);
    CHECK(found.count("S11") == 0);
    CHECK(found.size() == 6);
}

TEST_CASE("a scan outside the calibration is picked first unless something else is open") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 12, rows, entries);
    for (test::Row& row : rows) {
        row.instrument = "NIR";
        row.time = row.sample < "S09" ? "2026-10-12T08:30:00" : "2026-10-12T20:30:00";
    }
    const auto holder = make_season(rows, entries);
    REQUIRE(holder->batch.sessions.size() == 2);
    // About the reading, so that its verdict is `review` for this alone.
    for (const RowId row : {6U, 7U, 8U, 9U})
        holder->find("outside-calibration", Severity::review, row);
    holder->find("sum-off", Severity::review, 7);
    holder->find("sum-off", Severity::review, 8);
    Finding session;
    session.code = rules::code_index("standard-absent").value();
    session.severity = Severity::review;
    session.about = About::session;
    session.subject = holder->batch.session[9];
    session.row = 9;
    holder->judgement.findings.push_back(session);
    for (const RowId row : {9U, 10U, 11U})
        holder->judgement.verdict[row] = Verdict::review;
    holder->index();
    for (Finding& finding : holder->judgement.findings)
        if (finding.row == 8 && finding.code == rules::code_index("sum-off"))
            finding.settled = true;
    const auto picks = pick_samples(*sample_means(holder->season()), options(20));
    REQUIRE(picks);
    const auto found = ids(*holder, *picks);
    CHECK(found == std::set<std::string>{"S00", "S01", "S02", "S03", "S04", "S05", "S06", "S08"});
    std::set<std::string> first;
    for (const PickedSample& picked : picks->samples)
        if (picked.why == PickedFor::calibration) {
            first.insert(std::string(holder->batch.samples[picked.sample].id));
            CHECK_THAT(picked.reason, Catch::StartsWith("outside-calibration"));
        }
    CHECK(first == std::set<std::string>{"S06", "S08"});
}

TEST_CASE("irreplaceable, treated, single-plant, duplicate and analysed seed stays where it is") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 8, rows, entries);
    entries[0].keep_whole = true;
    entries[1].treated = true;
    entries[2].kind = "single_plant";
    entries[3].duplicate_of = "S04";
    const auto holder = make_season(rows, entries);
    PickOptions how = options(8);
    how.analysed = {"S05"};
    const auto picks = pick_samples(*sample_means(holder->season()), how);
    REQUIRE(picks);
    CHECK(ids(*holder, *picks) == std::set<std::string>{"S04", "S06", "S07"});
    CHECK(picks->notes.size() == 6);
    // S03 is a blind duplicate of S04; X is nobody's ID.
    how.analysed = {"S03", "X"};
    const auto others = pick_samples(*sample_means(holder->season()), how);
    REQUIRE(others);
    CHECK(ids(*holder, *others) == std::set<std::string>{"S05", "S06", "S07"});
    CHECK(others->notes.front().starts_with("reference results of no sample here: 1"));
}

TEST_CASE("the random share follows the seed and repeats with it") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 30, rows, entries);
    const auto holder = make_season(rows, entries);
    const auto means = sample_means(holder->season());
    std::set<std::set<std::string>> different;
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        PickOptions how = options(10, 50);
        how.seed = seed;
        const auto picks = pick_samples(*means, how);
        CHECK(ids(*holder, *picks) == ids(*holder, *pick_samples(*means, how)));
        CHECK(ids(*holder, *picks).size() == 10);
        CHECK(std::count_if(picks->samples.begin(), picks->samples.end(),
                            [](const PickedSample& p) { return p.why == PickedFor::random; }) == 5);
        different.insert(ids(*holder, *picks));
    }
    CHECK(different.size() > 1);
}

TEST_CASE("every batch of a shipment holds its check and a duplicate of another batch") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    add_samples("soy", "S", 12, rows, entries);
    const auto holder = make_season(rows, entries);
    const auto picks = pick_samples(*sample_means(holder->season()), options(12));
    ShipmentOptions how;
    how.batch = 4;
    how.check = "CTRL";
    const auto packets = make_shipment(holder->season(), *picks, how);
    REQUIRE(packets);
    CHECK(packets->size() == 12 + 3 + 3);
    std::set<std::string> codes, duplicated;
    std::map<std::string, std::size_t> batch_of;
    std::map<std::size_t, std::map<std::string, int>> roles;
    for (const ShippedPacket& packet : *packets) {
        codes.insert(packet.code);
        ++roles[packet.batch][packet.role];
        if (packet.role == "sample")
            batch_of[packet.sample] = packet.batch;
    }
    CHECK(codes.size() == packets->size());
    CHECK(batch_of.size() == 12);
    for (const auto& [batch, count] : roles)
        CHECK(count == std::map<std::string, int>{{"check", 1}, {"duplicate", 1}, {"sample", 4}});
    for (const ShippedPacket& packet : *packets)
        if (packet.role == "duplicate") {
            CHECK(batch_of.at(packet.sample) != packet.batch);
            duplicated.insert(packet.sample);
        }
    CHECK(duplicated.size() == 3);
    how.check.clear();
    CHECK_FALSE(make_shipment(holder->season(), *picks, how));
}

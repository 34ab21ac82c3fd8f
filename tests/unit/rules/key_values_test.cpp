// What repeats, outliers and drift are judged by, sample by sample.
#include "unit/rules/judged.hpp"

#include "rules/key_values.hpp"
#include "rules/reading_order.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <set>
#include <thresh/basis/values.hpp>

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {

// Samples read by turns, so that the readings of none lie together; maize has one key constituent more or
// less than soybeans, a moisture is missing, and a control stands between.
Judged by_turns(unsigned threads = 1) {
    std::string rows = "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is),Oil (% as is)\n";
    for (int i = 0; i < 60; ++i)
        rows +=
            fmt::format("Bench {},2026-10-{:02} 08:{:02}:00,{},{},{},{:.2f},{:.2f}\n", 1 + i % 2, 1 + i / 20,
                        i, i % 7 == 3 ? "Corn whole" : "Soybean whole",
                        i % 11 == 5 ? "CHECK-1" : fmt::format("A-{}", i * 7 % 13),
                        i % 9 == 4 ? "" : fmt::format("{:.2f}", 6 + i * 0.01), 34 + i * 0.05, 18 + i * 0.02);
    return Judged(
        {.exports = {{"a.csv", rows}}, .rules = R"({"controls": {"CHECK-1": {}}})", .threads = threads});
}

} // namespace

TEST_CASE(
    "key values stand at the places of their samples, with session and material, as a plan converts them") {
    for (const unsigned threads : {1U, 3U}) {
        const Judged judged = by_turns(threads);
        const batch::Batch& batch = judged.batch();
        const rules::KeyValues values(batch, judged.ruleset(), judged.judgement());
        REQUIRE(!batch.sample_rows.empty());
        std::size_t compared = 0, absent = 0;
        for (std::size_t place = 0; place < batch.sample_rows.size(); ++place) {
            const RowId row = batch.sample_rows[place];
            CHECK(values.session(place) == batch.session[row]);
            if (judged.judgement().verdict[row] > Verdict::review) {
                CHECK(values.material(place) == batch::kNoMaterial);
                continue;
            }
            CHECK(values.material(place) == batch.material[row]);
            const rules::Material* material = judged.ruleset().material(batch.material[row]);
            if (material == nullptr)
                continue;
            const Block& block = batch.block_of(row);
            const basis::Plan dry(*block.table, Basis::dry());
            for (std::size_t k = 0; k < values.width(); ++k) {
                const auto column =
                    k < material->key.size() ? block.table->find(material->key[k]) : std::nullopt;
                const auto value = column && judged.judgement().mark(row, material->key[k]) != Mark::exclude
                                       ? dry.value(block, batch.in_block(row), *column)
                                       : std::nullopt;
                absent += value ? 0U : 1U;
                compared += value ? 1U : 0U;
                if (value)
                    CHECK(values.of(place)[k] == *value);
                else
                    CHECK(std::isnan(values.of(place)[k]));
            }
        }
        CHECK(compared > 80);
        CHECK(absent > 5);
    }
}

TEST_CASE(
    "key values lose the material of a reading that is excluded after they were made, and keep the rest") {
    const Judged judged = by_turns();
    const batch::Batch& batch = judged.batch();
    rules::KeyValues values(batch, judged.ruleset(), judged.judgement());
    std::vector<Verdict> later = judged.judgement().verdict;
    const std::size_t at = batch.sample_rows.size() / 2;
    const RowId row = batch.sample_rows[at];
    REQUIRE(values.material(at) != batch::kNoMaterial);
    std::vector<std::uint8_t> before;
    for (std::size_t place = 0; place < batch.sample_rows.size(); ++place)
        before.push_back(values.material(place));
    later[row] = Verdict::superseded;
    values.follow(batch, later, 1);
    CHECK(values.material(at) == batch::kNoMaterial);
    CHECK(values.session(at) == batch.session[row]);
    for (std::size_t place = 0; place < batch.sample_rows.size(); ++place)
        if (place != at)
            CHECK(values.material(place) == before[place]);
    // What would have replaced it turned out unsound itself.
    values.follow(batch, judged.judgement().verdict, 1);
    CHECK(values.material(at) == before[at]);
}

TEST_CASE("readings as numbers come in order of material, session and place, or of session first") {
    using rules::OrderedReading;
    const std::uint32_t last_session = (1U << OrderedReading::kSessionBits) - 1;
    for (const bool by_session : {false, true}) {
        std::vector<OrderedReading> readings;
        std::vector<std::tuple<std::uint64_t, std::uint64_t, std::size_t>> expected;
        for (std::size_t nth = 0; nth < 12; ++nth) {
            const auto material = static_cast<std::uint8_t>(nth * 5 % 3 * 127);
            const std::uint32_t session =
                nth * 7 % 4 == 0 ? last_session : static_cast<std::uint32_t>(nth * 7 % 4);
            readings.push_back(by_session ? OrderedReading::by_session(session, material, nth)
                                          : OrderedReading::by_material(material, session, nth));
            expected.emplace_back(by_session ? session : material, by_session ? material : session, nth);
        }
        // All numbers of readings, every third of them not usable.
        rules::ReadingSorter sorter;
        for (std::size_t count = 0; count <= readings.size(); ++count)
            for (const bool all : {true, false}) {
                sorter.begin(count);
                std::set<std::size_t> usable;
                for (std::size_t i = 0; i < count; ++i) {
                    sorter.add(readings[i], all || i % 3 != 1);
                    if (all || i % 3 != 1)
                        usable.insert(readings[i].nth());
                }
                const auto sorted = sorter.sorted();
                CHECK(std::is_sorted(sorted.begin(), sorted.end()));
                CHECK(sorted.size() == usable.size());
                for (const OrderedReading reading : sorted)
                    CHECK(usable.erase(reading.nth()) == 1);
            }
        sorter.begin(readings.size());
        for (const OrderedReading reading : readings)
            sorter.add(reading, true);
        const auto sorted = sorter.sorted();
        std::sort(expected.begin(), expected.end());
        for (std::size_t i = 0; i < sorted.size(); ++i) {
            CHECK(sorted[i].nth() == std::get<2>(expected[i]));
            if (!by_session) {
                CHECK(sorted[i].material() == std::get<0>(expected[i]));
                CHECK(sorted[i].session() == std::get<1>(expected[i]));
            }
        }
    }
}

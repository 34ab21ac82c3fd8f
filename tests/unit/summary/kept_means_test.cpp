#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include "summary/reading_values.hpp"

#include <cmath>
#include <thresh/summary/kept_means.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::rows_of;

namespace {

test::Row reading(std::string sample, const char* material, std::string protein, std::string oleic = "22.5",
                  std::string linoleic = "54.1") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = material;
    row.values = {{"moisture", "6.5"},
                  {"protein", std::move(protein)},
                  {"oil", "19.31"},
                  {"oleic", std::move(oleic)},
                  {"linoleic", std::move(linoleic)}};
    return row;
}

// A plot of two packets, one of a packet read as two materials, one with nothing usable, a value left out of
// a sum and of a ratio, and a packet that was listed but never read.
std::unique_ptr<test::SeasonHolder> season() {
    auto made = test::make_season(
        {reading("A", "soy", "36.11"), reading("A", "soy", "36.47"), reading("B", "soy", "38.03"),
         reading("C", "soy", "39.9"), reading("C", "nut", "25.4", "48.8", ""), reading("C", "soy", "40.3"),
         reading("D", "soy", "33.7"), reading("F", "soy", "35.52")},
        {test::entry("A", "L-1", "1"), test::entry("B", "L-1", "1"), test::entry("C", "L-1", "2"),
         test::entry("D", "L-2", "3"), test::entry("E", "L-2", "4", "soy"), test::entry("F", "L-1", "5")});
    made->find("moisture-high", Severity::exclude, 6);
    made->find("impossible-value", Severity::exclude, 7, "protein");
    made->find("own-check", Severity::review, 1, "oleic");
    return made;
}

constexpr std::uint8_t kSoy = 0, kNut = 1;

} // namespace

TEST_CASE("lines from means that samples kept are those computed anew") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    KeptMeans kept(*means);
    rows_of(*samples_table(holder->season(), *means, &kept));
    std::size_t found = 0;
    for (const auto& group : means->list_groups())
        found += kept.find(group).mean != nullptr ? 1U : 0U;
    CHECK(found == 5); // A, B, C as soy, D, F
    for (const bool long_form : {false, true}) {
        LinesOptions options;
        options.long_form = long_form;
        const auto computed = rows_of(*lines_table(holder->season(), *means, options));
        options.kept = &kept;
        CHECK(rows_of(*lines_table(holder->season(), *means, options)).rows == computed.rows);
        CHECK(computed.rows.size() > 2);
    }
}

TEST_CASE("samples beyond the room for kept means are computed anew") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    KeptMeans kept(*means, 3 * sizeof(double) * means->constituents().size() - 1);
    rows_of(*samples_table(holder->season(), *means, &kept));
    CHECK(kept.find({1, kSoy}).mean != nullptr);
    CHECK(kept.find({2, kSoy}).mean == nullptr);
    LinesOptions options;
    const auto computed = rows_of(*lines_table(holder->season(), *means, options));
    options.kept = &kept;
    CHECK(rows_of(*lines_table(holder->season(), *means, options)).rows == computed.rows);
}

TEST_CASE("a kept mean is taken for its own material only, and for nothing that was not kept") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    KeptMeans kept(*means);
    const auto workspace = means->workspace();
    SampleNumbers numbers;
    means->compute({2, kSoy}, *workspace, numbers);
    for (double& mean : numbers.mean)
        mean += 1000; // told apart from one that is computed
    kept.keep({2, kNut}, numbers);
    CHECK(kept.find({2, kNut}).mean == nullptr); // the first reading of C is of soy
    kept.keep({2, kSoy}, numbers);
    REQUIRE(kept.find({2, kSoy}).mean != nullptr);
    CHECK(kept.find({2, kSoy}).readings == 2);
    CHECK(kept.find({2, kNut}).mean == nullptr);
    CHECK(kept.find({1, kSoy}).mean == nullptr);
    CHECK(kept.find({4, kSoy}).mean == nullptr);

    LinesOptions options;
    const auto computed = rows_of(*lines_table(holder->season(), *means, options));
    options.kept = &kept;
    const auto taken = rows_of(*lines_table(holder->season(), *means, options));
    for (std::size_t row = 0; row < computed.rows.size(); ++row) {
        INFO(row);
        const auto& line = computed.rows[row];
        if (line.at("line") == "L-1" && line.at("material") == "soy")
            CHECK(taken.numbers.at({row, "oil"}) > 300); // one of three plots
        else
            CHECK(taken.rows[row] == line);
    }
}

TEST_CASE("beside a mean the single readings' values are given, of the slots asked for and in their order") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    const auto workspace = means->workspace();
    const ReadingValues& values = means->values();
    auto scratch = values.scratch();
    std::vector<double> all(values.slots());
    SampleMeans::Each each;
    each.slots = {values.slot_of(constituent::oil), values.slot_of(constituent::protein), values.slots() - 1};
    std::size_t given = 0, missing = 0;
    for (const auto& group : means->list_groups()) {
        std::vector<double> wanted;
        for (const RowId row : holder->season().batch.rows_of(group.sample)) {
            const Verdict verdict = holder->season().judgement.verdict[row];
            if (holder->season().batch.material[row] != group.material || verdict > Verdict::review)
                continue;
            values.usable(row, scratch, all.data());
            for (const std::size_t slot : each.slots)
                wanted.push_back(all[slot]);
        }
        SampleNumbers numbers;
        means->compute(group, *workspace, numbers, SampleMeans::Of::usable, &each);
        REQUIRE(each.values.size() == wanted.size());
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            CHECK(std::isnan(each.values[i]) == std::isnan(wanted[i]));
            CHECK((std::isnan(wanted[i]) || each.values[i] == wanted[i]));
            ++(std::isnan(wanted[i]) ? missing : given);
        }
    }
    CHECK(given > 12);
    CHECK(missing > 0);
}

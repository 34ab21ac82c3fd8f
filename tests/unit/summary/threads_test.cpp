#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/overview.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::rows_of;

namespace {

// Samples in scattered order over several files; some lines share plots.
std::unique_ptr<test::SeasonHolder> large(bool split) {
    std::vector<test::Row> rows;
    std::uint64_t state = 12345;
    const auto next = [&] { return (state = state * 6364136223846793005ULL + 1442695040888963407ULL) >> 33; };
    std::vector<batch::ListEntry> entries;
    for (int sample = 0; sample < 300; ++sample)
        entries.push_back(test::entry(fmt::format("S{:03}", sample), fmt::format("L{}", sample % 40),
                                      fmt::format("{}", sample / 2)));
    for (int i = 0; i < 2000; ++i) {
        test::Row row;
        row.sample = fmt::format("S{:03}", next() % 300);
        row.material = "soy";
        row.source = split && i >= 1000 ? "b.csv" : "a.csv";
        row.line = static_cast<std::uint32_t>(i + 2);
        row.values = {
            {"moisture", fmt::format("{}.{:02}", 5 + next() % 3, next() % 100)},
            {"protein", fmt::format("{}.{:02}", 33 + next() % 8, next() % 100)},
            {"oil", next() % 20 == 0 ? "" : fmt::format("{}.{:02}", 18 + next() % 4, next() % 100)}};
        rows.push_back(row);
    }
    return test::make_season(std::move(rows), std::move(entries));
}

} // namespace

TEST_CASE("the numbers do not depend on threads, ranges or how a file is split") {
    const auto one = large(false);
    const auto means = sample_means(one->season());
    const auto lines = lines_table(one->season(), *means, {});
    const auto samples = samples_table(one->season(), *means);
    const auto whole_lines = rows_of(*lines), whole_samples = rows_of(*samples);
    for (const unsigned threads : {2U, 7U}) {
        one->threads = threads;
        const auto again = sample_means(one->season());
        CHECK(rows_of(*lines_table(one->season(), *again, {})).rows == whole_lines.rows);
        CHECK(rows_of(*samples_table(one->season(), *again)).rows == whole_samples.rows);
    }
    test::MapSink pieces(*lines);
    for (std::size_t row = 0; row < lines->rows(); ++row)
        lines->write(row, row + 1, pieces);
    CHECK(pieces.rows == whole_lines.rows);

    const auto two = large(true);
    const auto split_means = sample_means(two->season());
    CHECK(rows_of(*lines_table(two->season(), *split_means, {})).rows == whole_lines.rows);
    CHECK(rows_of(*samples_table(two->season(), *split_means)).rows == whole_samples.rows);
}

TEST_CASE("the overview counts readings, lines, tasks and moisture") {
    const auto holder = large(false);
    holder->rules.materials[0].window.low = 5;
    holder->rules.materials[0].window.high = 6.5;
    holder->find("moisture-high", Severity::exclude, 3);
    const Overview made = overview(holder->season());
    CHECK(made.accounting.total.adds_up());
    CHECK(made.lines == 40);
    CHECK(made.without_number.empty());
    REQUIRE(made.moisture.size() == 1);
    std::size_t sum = 0;
    for (const std::size_t count : made.moisture[0].counts)
        sum += count;
    CHECK(sum == 2000);
    CHECK(made.moisture[0].below == 0);
    CHECK(made.moisture[0].above > 0);
    REQUIRE(made.tasks.size() == 1);
    CHECK(made.tasks[0].items == 1);
}

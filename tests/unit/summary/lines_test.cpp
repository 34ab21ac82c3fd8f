#include <catch2/catch.hpp>

#include "summary/reading_values.hpp"
#include "unit/summary/season_builder.hpp"

#include <cmath>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;
using test::rows_of;

namespace {

test::Row reading(std::string sample, std::string moisture, std::string protein,
                  std::string material = "soy") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = std::move(material);
    row.values = {{"moisture", std::move(moisture)}, {"protein", std::move(protein)}};
    return row;
}

test::MapSink lines(const test::SeasonHolder& holder, const LinesOptions& options = {}) {
    const auto means = sample_means(holder.season());
    return rows_of(*lines_table(holder.season(), *means, options));
}

double at13(double value, double moisture) {
    return value * (87 / (100 - moisture));
}

// Two plots of L-1 (one of two packets, read twice), one of L-2, L-3 never read.
std::unique_ptr<test::SeasonHolder> season() {
    return make_season({reading("A", "6.0", "36.0"), reading("A", "7.0", "36.4"), reading("B", "6.5", "38.1"),
                        reading("C", "8.0", "40.0"), reading("D", "7.5", "33.0")},
                       {entry("A", "L-1", "1"), entry("B", "L-1", "1"), entry("C", "L-1", "2"),
                        entry("D", "L-2", "3"), entry("E", "L-3", "4", "soy")});
}

} // namespace

TEST_CASE("a line's mean is over plots, a plot's over samples, a sample's over readings, each counted once") {
    const auto holder = season();
    const auto table = lines(*holder);
    REQUIRE(table.rows.size() == 3);
    const double a = (at13(36.0, 6.0) + at13(36.4, 7.0)) / 2, b = at13(38.1, 6.5), c = at13(40.0, 8.0);
    const double plot1 = (a + b) / 2, mean = (plot1 + c) / 2;
    const double sd = std::sqrt((plot1 - mean) * (plot1 - mean) + (c - mean) * (c - mean));
    CHECK(table.numbers.at({0, "protein"}) == Approx(mean).epsilon(1e-14));
    CHECK(table.numbers.at({0, "protein_sd"}) == Approx(sd).epsilon(1e-13));
    CHECK(table.numbers.at({0, "protein_se"}) == Approx(sd / std::sqrt(2.0)).epsilon(1e-13));
    const auto& line = table.rows[0];
    CHECK(line.at("material") == "soy");
    CHECK(line.at("line") == "L-1");
    CHECK(line.at("basis") == "13");
    CHECK(line.at("status") == "complete");
    CHECK(line.at("plots") == "2");
    CHECK(line.at("samples") == "3");
    CHECK(line.at("readings") == "4");
    CHECK(line.at("readings_used") == "4");
    CHECK(line.at("protein_n") == "2");
    CHECK(line.at("protein_flagged") == "0");
    CHECK(line.count("trial") == 0);
}

TEST_CASE("one plot leaves SD and SE empty, and moisture is averaged as read") {
    const auto holder = season();
    const auto table = lines(*holder);
    CHECK(table.rows[1].at("protein_n") == "1");
    CHECK(table.rows[1].at("protein_sd").empty());
    CHECK(table.rows[1].at("protein_se").empty());
    CHECK(table.rows[1].at("moisture") == "7.5");
}

TEST_CASE("a listed line without a reading has a row with n = 0") {
    const auto holder = season();
    const auto table = lines(*holder);
    const auto& line = table.rows[2];
    CHECK(line.at("line") == "L-3");
    CHECK(line.at("material") == "soy");
    CHECK(line.at("status") == "none");
    CHECK(line.at("readings") == "0");
    CHECK(line.at("protein_n") == "0");
    CHECK(line.at("protein").empty());
}

TEST_CASE("excluded readings and values are left out and counted, review is used and counted") {
    const auto holder = season();
    holder->find("moisture-high", Severity::exclude, 1);
    holder->find("sample-unlisted", Severity::review, 0);
    holder->find("impossible-value", Severity::exclude, 2, "protein");
    holder->find("above-expected", Severity::review, 3, "protein");
    const auto table = lines(*holder);
    const auto& line = table.rows[0];
    CHECK(table.numbers.at({0, "protein"}) == Approx((at13(36.0, 6.0) + at13(40.0, 8.0)) / 2).epsilon(1e-14));
    CHECK(line.at("readings_used") == "3");
    CHECK(line.at("readings_review") == "1");
    CHECK(line.at("readings_excluded") == "1");
    CHECK(line.at("protein_flagged") == "2");
    CHECK(line.at("moisture_flagged") == "0");
    CHECK(table.numbers.at({0, "moisture"}) == (((6.0 + 6.5) / 2) + 8.0) / 2);
}

TEST_CASE("a superseded reading counts as excluded") {
    const auto holder = season();
    holder->judgement.verdict[0] = Verdict::superseded;
    const auto table = lines(*holder);
    CHECK(table.rows[0].at("readings_used") == "3");
    CHECK(table.rows[0].at("readings_excluded") == "1");
}

TEST_CASE("a line with excluded readings only shows a provisional mean and counts none") {
    const auto holder = season();
    holder->find("moisture-high", Severity::exclude, 4);
    const auto table = lines(*holder);
    CHECK(table.rows[1].at("protein").substr(0, 1) == "~");
    CHECK(table.rows[1].at("protein_n") == "0");
    CHECK(table.rows[1].at("status") == "none");
}

TEST_CASE("lines are the same for a sink that wants no marks, but that nothing is provisional there") {
    const auto holder = season();
    holder->find("below-expected", Severity::review, 0, "protein");
    // First no reading is excluded, then L-2's and one plot of L-1, then all.
    for (const std::vector<RowId>& excluded : {std::vector<RowId>{}, {4, 3}, {2, 1, 0}}) {
        for (const RowId row : excluded)
            holder->find("moisture-high", Severity::exclude, row);
        const auto means = sample_means(holder->season());
        const auto table = lines_table(holder->season(), *means, {});
        test::FileSink sink(*table);
        table->write(0, table->rows(), sink);
        auto expected = rows_of(*table).rows;
        for (auto& row : expected)
            for (auto& [column, cell] : row)
                if (cell.starts_with('~'))
                    cell.clear();
        CHECK(sink.rows == expected);
        CHECK(sink.rows[0].at("protein").empty() == (excluded.size() == 3));
        CHECK(sink.rows[0].at("protein_sd").empty() == !excluded.empty());
        CHECK(sink.rows[0].at("protein_flagged") == "1");
    }
}

TEST_CASE("a line of which a plot has no usable reading is partial") {
    const auto holder = season();
    holder->find("moisture-high", Severity::exclude, 3);
    CHECK(lines(*holder).rows[0].at("status") == "partial");
}

TEST_CASE("each material has its own row on its own basis, an unlisted sample has none") {
    const auto holder = make_season(
        {reading("A", "6.0", "36.0"), reading("A", "5.0", "25.0", "nut"), reading("X", "6.0", "36.0")},
        {entry("A", "L-1")});
    const auto table = lines(*holder);
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].at("material") == "nut");
    CHECK(table.rows[0].at("basis") == "dry");
    CHECK(table.numbers.at({0, "protein"}) == Approx(25.0 * (100 / 95.0)).epsilon(1e-14));
    CHECK(table.rows[1].at("material") == "soy");
    CHECK(table.rows[1].count("plots") == 0);
}

TEST_CASE("derived constituents are computed per reading, ratios from mean inputs") {
    auto one = reading("A", "6.0", "36.0"), two = reading("A", "8.0", "37.0");
    one.values.insert(one.values.end(), {{"oil", "20.0"}, {"oleic", "20"}, {"linoleic", "50"}});
    two.values.insert(two.values.end(), {{"oil", ""}, {"oleic", "30"}, {"linoleic", "40"}});
    const auto holder = make_season({one, two});
    const auto table = lines(*holder);
    CHECK(table.numbers.at({0, "protein_plus_oil"}) == Approx(at13(36.0, 6.0) + at13(20.0, 6.0)));
    CHECK(table.numbers.at({0, "oleic_linoleic"}) == 25.0 / 45.0);
    CHECK(table.rows[0].at("oleic_linoleic_sd").empty());
    CHECK(table.rows[0].at("oleic_linoleic_n") == "1");
}

TEST_CASE("an export without a column gives no value for it, whatever the reading before held") {
    test::Row full = reading("A", "6.0", "36.0");
    full.values.emplace_back("oil", "20.0");
    test::Row poor = reading("A", "6.0", "37.0");
    poor.source = "b.csv";
    test::Row turned = reading("A", "6.0", "38.5");
    turned.source = "c.csv";
    turned.values.emplace_back("oil", "19.0");
    std::reverse(turned.values.begin(), turned.values.end());
    const auto holder = make_season({full, poor, turned}, {entry("A", "L-1")});
    const auto table = rows_of(*samples_table(holder->season(), *sample_means(holder->season())));
    CHECK(table.rows[0].at("protein_n") == "3");
    CHECK(table.rows[0].at("oil_n") == "2");
    CHECK(table.rows[0].at("protein_plus_oil_n") == "2");
    CHECK(table.numbers.at({0, "protein"}) == Approx(at13(37.1666666666666667, 6.0)).epsilon(1e-14));
    CHECK(table.numbers.at({0, "oil"}) == Approx(at13(19.5, 6.0)).epsilon(1e-14));
    const auto readings = rows_of(*readings_table(holder->season(), {}));
    CHECK(readings.numbers.at({0, "oil"}) == Approx(at13(20.0, 6.0)).epsilon(1e-14));
    CHECK(readings.rows[1].at("oil").empty());
    CHECK(readings.rows[1].at("protein_plus_oil").empty());
    CHECK(readings.numbers.at({2, "oil"}) == Approx(at13(19.0, 6.0)).epsilon(1e-14));
    // By slot too, into the room of the reading before.
    const auto means = sample_means(holder->season());
    const ReadingValues& values = means->values();
    const std::size_t oil = values.slot_of(constituent::oil);
    ReadingValues::Scratch scratch = values.scratch();
    std::vector<double> by_slot(values.slots());
    values.usable(0, scratch, by_slot.data());
    CHECK(by_slot.at(oil) == Approx(at13(20.0, 6.0)).epsilon(1e-14));
    values.usable(1, scratch, by_slot.data());
    CHECK(std::isnan(by_slot.at(oil)));
}

TEST_CASE("a fatty acid stated as part of the sample is not averaged with shares of the oil") {
    auto one = reading("A", "6.0", "36.0"), two = reading("A", "6.0", "36.0");
    one.values.push_back({"oleic", "22"});
    two.source = "b.csv";
    two.values.push_back({"oleic/sample", "4.4"});
    const auto holder = make_season({one, two});
    CHECK(lines(*holder).numbers.at({0, "oleic"}) == 22);
}

TEST_CASE("lines --long has one row a constituent, with order statistics of the plot means") {
    const auto holder = season();
    LinesOptions options;
    options.long_form = true;
    const auto table = lines(*holder, options);
    REQUIRE(table.rows.size() == 6);
    const auto& moisture = table.rows[0];
    CHECK(moisture.at("constituent") == "moisture");
    CHECK(moisture.at("basis") == "as-is");
    CHECK(moisture.at("n") == "2");
    CHECK(moisture.at("min") == "6.5");
    CHECK(moisture.at("median") == "7.25");
    CHECK(moisture.at("max") == "8");
    CHECK(table.rows[1].at("basis") == "13");
    CHECK(table.rows[1].at("part_of") == "sample");
}

TEST_CASE("lines can be grouped by other columns of the list, within materials") {
    auto entries = std::vector{entry("A", "L-1", "1"), entry("B", "L-2", "2"), entry("C", "L-3", "3")};
    entries[0].environment = entries[2].environment = "North";
    entries[1].environment = "East";
    const auto holder =
        make_season({reading("A", "6", "36"), reading("B", "6", "37"), reading("C", "6", "38")}, entries);
    LinesOptions options;
    options.by = parse_by("environment").value();
    const auto table = lines(*holder, options);
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0].at("environment") == "East");
    CHECK(table.rows[1].at("environment") == "North");
    CHECK(table.rows[1].at("protein_n") == "2");
    CHECK_FALSE(parse_by("enviroment"));
    CHECK_FALSE(parse_by(""));
}

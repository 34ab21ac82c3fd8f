#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;
using test::rows_of;

namespace {

test::Row reading(std::string sample, std::string time, std::string instrument = "NIR-1") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = "soy";
    row.time = std::move(time);
    row.instrument = std::move(instrument);
    row.values = {{"moisture", "6.0"}, {"protein", "37.6"}, {"oil", "20"}};
    return row;
}

rules::Adjustment correction(double intercept, double slope, Basis basis) {
    rules::Adjustment made;
    made.intercept = intercept;
    made.slope = slope;
    made.basis = basis;
    return made;
}

double protein(const test::SeasonHolder& holder, std::size_t row) {
    return rows_of(*readings_table(holder.season(), {})).numbers.at({row, "protein"});
}

} // namespace

TEST_CASE("a correction holds on the basis it was found on, whatever basis results are on") {
    const auto holder = make_season({reading("A", "2026-10-05 09:00:00")});
    const double dry = 37.6 * 100 / 94;
    holder->rules.materials[0].adjust[constituent::protein] = {correction(1.5, 0.98, Basis::dry())};
    CHECK(protein(*holder, 0) == Approx((1.5 + 0.98 * dry) * 0.87).epsilon(1e-14));
    holder->rules.basis = Basis::dry();
    CHECK(protein(*holder, 0) == Approx(1.5 + 0.98 * dry).epsilon(1e-14));
    holder->rules.basis = Basis::as_is();
    CHECK(protein(*holder, 0) == Approx((1.5 + 0.98 * dry) * 0.94).epsilon(1e-14));
}

TEST_CASE("a correction holds from its first to its last day, both included, and never without a time") {
    const auto holder = make_season({reading("A", "2026-10-04 23:59:59"), reading("A", "2026-10-05 00:00:00"),
                                     reading("A", "2026-10-06 23:59:59"), reading("A", "2026-10-07 00:00:00"),
                                     reading("A", "")});
    rules::Adjustment one = correction(1, 1, Basis::at(13));
    one.from = time_from_iso("2026-10-05");
    one.to = time_from_iso("2026-10-06");
    const double read = protein(*holder, 0);
    holder->rules.materials[0].adjust[constituent::protein] = {one};
    const auto table = rows_of(*readings_table(holder->season(), {}));
    const bool holds[] = {false, true, true, false, false};
    for (std::size_t row = 0; row < 5; ++row) {
        CHECK(table.numbers.at({row, "protein"}) == Approx(read + (holds[row] ? 1 : 0)));
        CHECK(table.rows[row].at("adjusted") == (holds[row] ? "protein" : ""));
    }
}

TEST_CASE("of several corrections the first that fits holds, and only that one") {
    auto high = entry("A", "L-1");
    high.oil_type = "high-oleic";
    const auto holder = make_season({reading("A", "2026-10-05 09:00:00", "NIR-2"),
                                     reading("B", "2026-10-05 09:01:00", "NIR-2"),
                                     reading("B", "2026-10-05 09:02:00", "NIR-1")},
                                    {high, entry("B", "L-2")});
    const double read = protein(*holder, 0);
    rules::Adjustment of_type = correction(1, 1, Basis::at(13)),
                      of_instrument = correction(2, 1, Basis::at(13));
    of_type.oil_type = "High-Oleic"; // the case of letters does not count
    of_instrument.instrument = "*-2";
    holder->rules.materials[0].adjust[constituent::protein] = {of_type, of_instrument};
    CHECK(protein(*holder, 0) == Approx(read + 1));
    CHECK(protein(*holder, 1) == Approx(read + 2));
    CHECK(protein(*holder, 2) == Approx(read));
}

TEST_CASE("a correction that changes nothing keeps those behind it away and is told of no value") {
    auto high = entry("A", "L-1");
    high.oil_type = "high-oleic";
    const auto holder =
        make_season({reading("A", "2026-10-05 09:00:00"), reading("B", "2026-10-05 09:01:00")},
                    {high, entry("B", "L-2")});
    const double read = protein(*holder, 0);
    rules::Adjustment nothing;
    nothing.oil_type = "high-oleic";
    holder->rules.materials[0].adjust[constituent::protein] = {nothing, correction(2, 1, Basis::at(13))};
    const auto table = rows_of(*readings_table(holder->season(), {}));
    CHECK(table.numbers.at({0, "protein"}) == read);
    CHECK(table.rows[0].at("adjusted").empty());
    CHECK(table.numbers.at({1, "protein"}) == Approx(read + 2));
}

TEST_CASE("a corrected moisture is the one that values are converted with") {
    const auto holder = make_season({reading("A", "2026-10-05 09:00:00")});
    holder->rules.materials[0].adjust[constituent::moisture] = {correction(0.5, 1, Basis::as_is())};
    const auto table = rows_of(*readings_table(holder->season(), {}));
    CHECK(table.numbers.at({0, "moisture"}) == Approx(6.5));
    CHECK(table.numbers.at({0, "protein"}) == Approx(37.6 * 87 / 93.5).epsilon(1e-14));
}

TEST_CASE("derived constituents and means follow the corrected values and lines say so") {
    const auto holder = make_season({reading("A", "2026-10-05 09:00:00")}, {entry("A", "L-1")});
    const auto before = rows_of(*lines_table(holder->season(), *sample_means(holder->season()), {}));
    holder->rules.materials[0].adjust[constituent::protein] = {correction(1, 1, Basis::at(13))};
    const auto means = sample_means(holder->season());
    const auto after = rows_of(*lines_table(holder->season(), *means, {}));
    for (const char* column : {"protein", "protein_plus_oil"})
        CHECK(after.numbers.at({0, column}) == Approx(before.numbers.at({0, column}) + 1));
    CHECK(after.rows[0].at("adjusted") == "protein");
    CHECK(before.rows[0].count("adjusted") == 0);
    CHECK(rows_of(*samples_table(holder->season(), *means)).rows[0].at("adjusted") == "protein");
}

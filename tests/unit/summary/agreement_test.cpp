#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/agreement.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

test::Row reading(std::string sample, std::string protein, std::string instrument = "NIR-1") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = "soy";
    row.instrument = std::move(instrument);
    row.values = {{"moisture", "6.0"}, {"protein", std::move(protein)}};
    return row;
}

batch::ReferenceResult result(std::string sample, double protein, Basis basis,
                              std::optional<double> moisture = {}) {
    batch::ReferenceResult made;
    made.sample = std::move(sample);
    made.nitrogen_factor = 6.25;
    made.moisture = moisture;
    made.values = {{constituent::protein, protein, PartOf::sample, basis}};
    return made;
}

} // namespace

TEST_CASE("reference results are restated with their own moisture, not with that of the reading") {
    const auto holder = make_season({reading("A", "37.6")}, {entry("A", "L-1")});
    const auto means = sample_means(holder->season());
    batch::ReferenceResults reference;
    reference.results = {result("A", 38, Basis::as_is(), 9.5), result("A", 42, Basis::dry())};
    const auto made = compare_with_reference(*means, reference, {});
    REQUIRE(made);
    REQUIRE(made->sets.size() == 1);
    const AgreementPair& pair = made->sets[0].pairs.at(0);
    CHECK(pair.reference == Approx((38.0 * 87 / 90.5 + 42.0 * 0.87) / 2));
    CHECK(pair.nir == Approx(37.6 * 87 / 94));
    CHECK(pair.reference_results == 2);
    CHECK_FALSE(made->sets[0].result);
}

TEST_CASE("a cell that is no number is counted as refused and told with its place") {
    const auto holder =
        make_season({reading("A", "37.6"), reading("B", "38")}, {entry("A", "L-1"), entry("B", "L-1")});
    const auto means = sample_means(holder->season());
    batch::ReferenceResult bad;
    bad.sample = "A";
    for (const int line : {2, 3, 4, 5, 6})
        bad.refused.push_back({constituent::protein, fmt::format("`1O.2` on line {} is no number", line)});
    batch::ReferenceResults reference;
    reference.results = {bad, result("B", 42, Basis::dry())};
    const auto made = compare_with_reference(*means, reference, {});
    REQUIRE(made);
    CHECK(made->sets[0].pairs.size() == 1);
    CHECK(made->sets[0].refused == 5);
    CHECK(made->sets[0].reasons.front() == "`1O.2` on line 2 is no number");
    CHECK(made->sets[0].reasons.back() == "1 more such cell");
    reference.results = {bad};
    const auto none = compare_with_reference(*means, reference, {});
    REQUIRE_FALSE(none);
    CHECK_THAT(none.error().message,
               Catch::StartsWith("no reference result can be compared: `1O.2` on line 2"));
}

TEST_CASE("a result that cannot stand beside the NIR value is refused and says why") {
    const auto holder =
        make_season({reading("A", "37.6"), reading("B", "38")}, {entry("A", "L-1"), entry("B", "L-1")});
    const auto means = sample_means(holder->season());
    batch::ReferenceResults reference;
    auto other_factor = result("A", 38, Basis::dry());
    other_factor.nitrogen_factor = 5.71;
    auto no_factor = result("A", 38, Basis::dry());
    no_factor.nitrogen_factor.reset();
    auto of_oil = result("A", 38, Basis::dry());
    of_oil.values[0].part_of = PartOf::oil;
    const std::pair<batch::ReferenceResult, const char*> refused[] = {
        {other_factor, "N x 5.71"},
        {no_factor, "names no nitrogen factor"},
        {of_oil, "share of the oil"},
        {result("A", 38, Basis{}), "states no basis"},
        {result("A", 38, Basis::as_is()), "needs its own moisture"}};
    for (const auto& [one, why] : refused) {
        reference.results = {one, result("B", 42, Basis::dry())};
        const auto made = compare_with_reference(*means, reference, {});
        REQUIRE(made);
        CHECK(made->sets[0].pairs.size() == 1);
        CHECK(made->sets[0].refused == 1);
        CHECK_THAT(made->sets[0].reasons.at(0), Catch::Contains(why));
        reference.results = {one};
        const auto none = compare_with_reference(*means, reference, {});
        REQUIRE_FALSE(none);
        CHECK_THAT(none.error().message, Catch::Contains(why));
    }
}

TEST_CASE("blind duplicates count once, with their original, and give the repeatability of both methods") {
    auto duplicate = entry("A2", "L-1");
    duplicate.duplicate_of = "A";
    const auto holder =
        make_season({reading("A", "37.6"), reading("A2", "37.8")}, {entry("A", "L-1"), duplicate});
    const auto means = sample_means(holder->season());
    batch::ReferenceResults reference;
    reference.results = {result("A", 40, Basis::dry()), result("A2", 40.4, Basis::dry())};
    const auto made = compare_with_reference(*means, reference, {});
    REQUIRE(made);
    const AgreementSet& set = made->sets.at(0);
    REQUIRE(set.pairs.size() == 1);
    CHECK(holder->batch.samples[set.pairs[0].sample].id == "A");
    CHECK(set.pairs[0].reference == Approx(40.2 * 0.87));
    REQUIRE(set.reference_repeatability);
    CHECK(set.reference_repeatability->sd == Approx(0.4 * 0.87 / std::sqrt(2.0)));
    REQUIRE(set.nir_repeatability);
    CHECK(set.nir_repeatability->sd == Approx(0.2 * 87 / 94 / std::sqrt(2.0)));
}

TEST_CASE("the reference error taken off the SEP is that of each sample's own number of results") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> list;
    batch::ReferenceResults reference;
    for (int i = 0; i < 12; ++i) {
        const std::string id = fmt::format("S{:02}", i);
        rows.push_back(reading(id, fmt::format("{:.2f}", 36.0 + 0.3 * i + (i % 4 - 1.5) * 0.4)));
        list.push_back(entry(id, "L-1"));
        for (int k = 0; k < (i % 2 == 0 ? 1 : 4); ++k)
            reference.results.push_back(result(id, 41.4 + 0.3 * i + (k % 2) * 0.2, Basis::dry()));
    }
    const auto holder = make_season(rows, list);
    const auto means = sample_means(holder->season());
    const auto made = compare_with_reference(*means, reference, {});
    REQUIRE(made);
    const AgreementSet& set = made->sets.at(0);
    REQUIRE(set.result);
    const double sep = set.result->sep, sd = set.reference_repeatability->sd;
    const double mean_share = (1.0 + 1.0 / 4) / 2; // not 1 / 2.5
    CHECK(test::rows_of(*agreement_table(holder->season(), made->sets))
              .numbers.at({0, "sep_without_reference_error"}) ==
          Approx(std::sqrt(sep * sep - sd * sd * mean_share)).epsilon(1e-12));
}

TEST_CASE("neutral codes become samples, and a code for two samples is refused") {
    batch::ReferenceResults reference;
    reference.results = {result("W001", 40, Basis::dry()), result("W002", 41, Basis::dry())};
    batch::open_codes({{"W001", "A", "sample"}}, reference);
    CHECK(reference.results[0].sample == "A");
    CHECK(reference.results[1].sample == "W002");
    CHECK(reference.notes.size() == 1);
    const auto row = [](std::uint32_t line, std::vector<std::string> cells) {
        return batch::TextRow{line, "", [cells](std::size_t i) -> std::string_view { return cells[i]; }};
    };
    CHECK_FALSE(batch::make_shipment_key("key.csv", {row(2, {"W1", "A", ""}), row(3, {"W1", "B", ""})}));
    CHECK(
        batch::make_shipment_key("key.csv", {row(2, {"W1", "A", "sample"}), row(3, {"W2", "A", "duplicate"})})
            ->size() == 2);
}

TEST_CASE("instruments are compared on the samples that both read") {
    std::vector<test::Row> rows;
    for (const auto& [sample, protein, other] :
         {std::tuple("A", "36.0", "36.4"), std::tuple("B", "38.0", "38.3"),
          std::tuple("C", "40.0", "40.5")}) {
        rows.push_back(reading(sample, protein));
        rows.push_back(reading(sample, other, "NIR-2"));
    }
    rows.push_back(reading("D", "50"));
    const auto holder = make_season(rows);
    const auto means = sample_means(holder->season());
    const auto made = compare_instruments(*means);
    REQUIRE(made);
    const auto& pair = made->back();
    CHECK(pair.n == 3);
    REQUIRE(pair.result);
    CHECK(pair.result->bias == Approx(-0.4 * 87 / 94));
    const auto lone = make_season({reading("A", "36"), reading("B", "37", "NIR-2")});
    CHECK_FALSE(compare_instruments(*sample_means(lone->season())));
}

TEST_CASE("a correction that one mistaken sample makes is written as a comment, not in force") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> list;
    batch::ReferenceResults reference;
    for (int i = 0; i < 24; ++i) {
        const std::string id = fmt::format("S{:02}", i);
        const double as_is = 36.0 + 0.05 * i; // a narrow range, in which one pair far off makes a slope
        rows.push_back(reading(id, fmt::format("{:.2f}", as_is + (i % 3 - 1) * 0.02)));
        list.push_back(entry(id, "L-1"));
        reference.results.push_back(result(id, as_is, Basis::as_is(), 6.0));
    }
    const auto text_of = [&] {
        const auto holder = make_season(rows, list);
        const auto means = sample_means(holder->season());
        const auto made = compare_with_reference(*means, reference, {});
        REQUIRE(made);
        REQUIRE(made->sets[0].result);
        const auto text = adjustment_rules(*means, reference, {}, made->sets, {}, {});
        REQUIRE(text);
        return *text;
    };
    CHECK(text_of().find("\"slope\"") == std::string::npos);
    rows[23].values[1].second = "41.00"; // another packet was read
    const std::string mistaken = text_of();
    CHECK(mistaken.find("// NOT IN FORCE") != std::string::npos);
    CHECK(mistaken.find("\n    // { \"instrument\"") != std::string::npos);
    CHECK(mistaken.find("\"soy\": {}") != std::string::npos);
    for (std::size_t i = 0; i < rows.size(); ++i) // and one that holds without it is in force
        rows[i].values[1].second =
            fmt::format("{:.2f}", 30.0 + 0.1 * static_cast<double>(i) + (i == 23 ? 4.0 : 0.0));
    const std::string sound = text_of();
    CHECK(sound.find("NOT IN FORCE") == std::string::npos);
    CHECK(sound.find("\"adjust\"") != std::string::npos);
}

TEST_CASE("a correction for any oil type stands behind those of the types that were compared") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> list;
    batch::ReferenceResults reference;
    // Bias of samples without an oil type 1; of the others as given.
    const auto text_of = [&](double bias_of_type) {
        rows.clear(), list.clear(), reference.results.clear();
        for (int i = 0; i < 48; ++i) {
            const std::string id = fmt::format("S{:02}", i);
            const bool typed = i % 2 == 0;
            const double as_is = 34.0 + 0.2 * i + (i % 3 - 1) * 0.02;
            rows.push_back(reading(id, fmt::format("{:.2f}", as_is + (typed ? bias_of_type : 1.0))));
            list.push_back(entry(id, "L-1"));
            list.back().oil_type = typed ? "high-oleic" : "";
            reference.results.push_back(result(id, 34.0 + 0.2 * i, Basis::as_is(), 6.0));
        }
        const auto holder = make_season(rows, list);
        const auto means = sample_means(holder->season());
        const auto made = compare_with_reference(*means, reference, {});
        REQUIRE(made);
        const auto text = adjustment_rules(*means, reference, {}, made->sets, {}, {});
        REQUIRE(text);
        return *text;
    };
    const std::string none = text_of(0);
    const auto neutral = none.find("{ \"instrument\": \"*\", \"oil_type\": \"high-oleic\", \"intercept\": 0, "
                                   "\"slope\": 1,");
    REQUIRE(neutral != std::string::npos);
    CHECK(none.find("{ \"instrument\": \"NIR-1\", \"intercept\"") > neutral);
    const std::string other = text_of(0.5);
    CHECK(other.find("\"slope\": 1,") != std::string::npos);
    CHECK(other.find("\"intercept\": 0,") == std::string::npos);
    CHECK(other.find("{ \"instrument\": \"NIR-1\", \"oil_type\"") <
          other.find("{ \"instrument\": \"NIR-1\", \"intercept\""));
}

TEST_CASE(
    "moisture that tells the basis of as-is results is compared, but no correction in force comes of it") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> list;
    batch::ReferenceResults reference;
    const auto text_of = [&](Basis basis) {
        rows.clear(), list.clear(), reference.results.clear();
        for (int i = 0; i < 24; ++i) {
            const std::string id = fmt::format("S{:02}", i);
            const double moisture = 6.0 + 0.05 * i;
            rows.push_back(reading(id, fmt::format("{:.2f}", 36.0 + 0.2 * i)));
            rows.back().values[0].second = fmt::format("{:.2f}", moisture);
            list.push_back(entry(id, "L-1"));
            reference.results.push_back(result(id, 38.0 + 0.2 * i, basis, moisture + 2.0 + (i % 3) * 0.02));
            reference.results.back().values.push_back(
                {constituent::moisture, *reference.results.back().moisture, PartOf::sample, Basis{}});
        }
        const auto holder = make_season(rows, list);
        const auto means = sample_means(holder->season());
        const auto made = compare_with_reference(*means, reference, {});
        REQUIRE(made);
        CHECK(made->sets.at(0).constituent == constituent::moisture);
        CHECK(made->sets.at(0).pairs.size() == 24);
        const auto text = adjustment_rules(*means, reference, {}, made->sets, {}, {});
        REQUIRE(text);
        return *text;
    };
    const std::string beside = text_of(Basis::as_is()), of_its_own = text_of(Basis::dry());
    CHECK_THAT(beside, Catch::Contains("NOT IN FORCE: this moisture tells on which basis"));
    CHECK(beside.find("\"moisture\": [") == std::string::npos);
    CHECK(of_its_own.find("\"moisture\": [") != std::string::npos);
    CHECK_THAT(of_its_own, Catch::Contains("compared with the corrected moisture"));
}

TEST_CASE("a laboratory check stands beside the target of the first control that matches it") {
    const auto holder = make_season({reading("A", "37.6")}, {entry("A", "L-1")});
    for (const auto& [pattern, target] : {std::pair("CTRL-1", 36.1), std::pair("CTRL-*", 30.0)}) {
        rules::Control control;
        control.sample = pattern;
        control.targets[constituent::protein].target = target;
        holder->rules.controls.push_back(control);
    }
    batch::ReferenceResults reference;
    reference.results = {result("A", 38, Basis::dry()), result("CTRL-1", 36, Basis::as_is())};
    reference.results[1].role = "check";
    const auto made = compare_with_reference(*sample_means(holder->season()), reference, {});
    REQUIRE(made);
    std::string notes;
    for (const std::string& note : made->notes)
        notes += note + "\n";
    CHECK(notes.find("laboratory check CTRL-1 protein") != std::string::npos);
    CHECK(notes.find("target 36.100") != std::string::npos);
}

TEST_CASE("no correction is written for values that are worked out from others") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> list;
    batch::ReferenceResults reference;
    for (int i = 0; i < 24; ++i) {
        const std::string id = fmt::format("S{:02}", i);
        test::Row row = reading(id, fmt::format("{:.2f}", 34.0 + 0.2 * i));
        row.values.emplace_back("oil", "20");
        rows.push_back(row);
        list.push_back(entry(id, "L-1"));
        batch::ReferenceResult one = result(id, 55.0 + 0.2 * i + 0.01 * (i % 3), Basis::as_is(), 6.0);
        one.values.front().constituent = constituent::protein_plus_oil;
        reference.results.push_back(one);
    }
    const auto holder = make_season(rows, list);
    const auto means = sample_means(holder->season());
    const auto made = compare_with_reference(*means, reference, {});
    REQUIRE(made);
    REQUIRE(made->sets[0].result);
    CHECK(made->sets[0].computed);
    CHECK_FALSE(made->sets[0].adjusted);
    const auto text = adjustment_rules(*means, reference, {}, made->sets, {}, {});
    REQUIRE(text);
    CHECK(text->find("// No correction: these values are worked out from others.") != std::string::npos);
    CHECK(text->find("\"protein_plus_oil\"") == std::string::npos);
}

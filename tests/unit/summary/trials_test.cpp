#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/line_charts.hpp>
#include <thresh/summary/season_page.hpp>
#include <thresh/summary/trials.hpp>

#include <set>

using namespace thresh;
using namespace thresh::summary;
using test::make_season;
using test::rows_of;

namespace {

struct Plot {
    const char *line, *environment, *rep, *protein, *kind = "plot";
    bool check = false;
    const char* year = "";
    const char* plot = ""; // its own number where none is given
};

std::unique_ptr<test::SeasonHolder> trial(const std::vector<Plot>& plots) {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> entries;
    for (std::size_t i = 0; i < plots.size(); ++i) {
        batch::ListEntry entry =
            test::entry(fmt::format("S{:02}", i), plots[i].line,
                        *plots[i].plot != '\0' ? plots[i].plot : fmt::format("P{}", i + 1));
        entry.trial = "T";
        entry.environment = plots[i].environment;
        entry.rep = plots[i].rep;
        entry.kind = plots[i].kind;
        entry.is_check = plots[i].check;
        entry.year = plots[i].year;
        entries.push_back(entry);
        if (plots[i].protein == nullptr)
            continue;
        test::Row row;
        row.sample = entry.sample;
        row.material = "soy";
        row.values = {{"moisture", "13"}, {"protein", plots[i].protein}};
        rows.push_back(row);
    }
    return make_season(rows, entries);
}

TrialModelOptions protein_only() {
    TrialModelOptions options;
    options.only = {constituent::protein};
    return options;
}

const std::vector<Plot> kTwoEnvironments = {
    {"A", "X", "1", "36.1"}, {"A", "X", "2", "36.5"}, {"A", "Y", "1", "38.2"}, {"A", "Y", "2", "38.0"},
    {"B", "X", "1", "34.9"}, {"B", "X", "2", "35.2"}, {"B", "Y", "1", "36.6"}, {"B", "Y", "2", "37.1"},
    {"C", "X", "1", "37.3"}, {"C", "X", "2", "37.0"}, {"C", "Y", "1", "39.5"}, {"C", "Y", "2", "39.2"}};

} // namespace

TEST_CASE("in a complete trial adjusted means are the means of lines and ranks follow them") {
    const auto holder = trial(kTwoEnvironments);
    const auto means = sample_means(holder->season());
    const auto models = TrialModels::fit(*means, protein_only());
    REQUIRE(models);
    LinesOptions options;
    options.trials = &*models;
    const auto table = rows_of(*lines_table(holder->season(), *means, options));
    const int rank[] = {2, 3, 1};
    for (std::size_t row = 0; row < 3; ++row) {
        CHECK(table.numbers.at({row, "protein_adj"}) ==
              Approx(table.numbers.at({row, "protein"})).epsilon(1e-12));
        CHECK(table.rows[row].at("protein_rank") == std::to_string(rank[row]));
    }
}

TEST_CASE("less is better where it is said so") {
    const auto holder = trial(kTwoEnvironments);
    const auto means = sample_means(holder->season());
    TrialModelOptions options = protein_only();
    options.low = {constituent::protein};
    const auto models = TrialModels::fit(*means, options);
    REQUIRE(models);
    CHECK(models->traits()[0].rank[1] == 1);
    CHECK(models->traits()[0].rank[2] == 3);
}

TEST_CASE("single plants are no plots of a trial") {
    std::vector<Plot> plots = kTwoEnvironments;
    plots.push_back({"A", "X", "2", "45.0", "single_plant"});
    const auto with = trial(plots), without = trial(kTwoEnvironments);
    const auto a = TrialModels::fit(*sample_means(with->season()), protein_only());
    const auto b = TrialModels::fit(*sample_means(without->season()), protein_only());
    REQUIRE(a);
    REQUIRE(b);
    CHECK(a->traits()[0].analysis->grand_mean == b->traits()[0].analysis->grand_mean);
    CHECK_THAT(a->traits()[0].notes.at(0), Catch::Contains("1 single plant left out"));
}

TEST_CASE("single plants and remnants listed with a plot's number do not enter its value, nor keep it out") {
    const auto numbered = [] {
        std::vector<Plot> plots = kTwoEnvironments;
        static const std::vector<std::string> kNumbers = {"1", "2", "3", "4",  "5",  "6",
                                                          "7", "8", "9", "10", "11", "12"};
        for (std::size_t i = 0; i < plots.size(); ++i)
            plots[i].plot = kNumbers[i].c_str();
        return plots;
    };
    const auto without = trial(numbered());
    const auto b = TrialModels::fit(*sample_means(without->season()), protein_only());
    REQUIRE(b);
    for (const bool before : {true, false}) { // by the order of their IDs
        std::vector<Plot> plots = numbered();
        const std::vector<Plot> others = {{"A", "X", "1", "45.0", "single_plant", false, "", "1"},
                                          {"A", "X", "1", "44.0", "single_plant", false, "", "1"},
                                          {"B", "Y", "2", "45.0", "remnant", false, "", "8"}};
        plots.insert(before ? plots.begin() : plots.end(), others.begin(), others.end());
        const auto with = trial(plots);
        const auto means = sample_means(with->season());
        const auto a = TrialModels::fit(*means, protein_only());
        REQUIRE(a);
        const TrialTrait& trait = a->traits()[0];
        REQUIRE(trait.analysis);
        CHECK(trait.analysis->plots == 12);
        CHECK(*trait.analysis->grand_mean == Approx(*b->traits()[0].analysis->grand_mean).epsilon(1e-14));
        CHECK(*trait.analysis->lines[0].blue ==
              Approx(*b->traits()[0].analysis->lines[0].blue).epsilon(1e-14));
        CHECK_THAT(trait.notes.at(0), Catch::Contains("2 single plants left out"));
        CHECK_THAT(trait.notes.at(1), Catch::Contains("1 remnant left out"));
        // The plain means of lines are over all their packets.
        const auto table = rows_of(*lines_table(with->season(), *means, {}));
        CHECK(table.numbers.at({0, "protein"}) == Approx(((36.1 + 45 + 44) / 3 + 36.5 + 38.2 + 38) / 4));
    }
}

TEST_CASE("the same site in two years is two environments") {
    std::vector<Plot> plots = kTwoEnvironments;
    for (std::size_t i = 0; i < plots.size(); ++i)
        plots[i].year = i % 2 == 0 ? "2025" : "2026";
    const auto holder = trial(plots);
    const auto models = TrialModels::fit(*sample_means(holder->season()), protein_only());
    REQUIRE(models);
    CHECK(models->traits()[0].analysis->environments == 4);
}

TEST_CASE("a check that was never read is named, and the others are still compared") {
    std::vector<Plot> plots = kTwoEnvironments;
    for (Plot& plot : plots)
        plot.check = plot.line == std::string("B");
    plots.push_back({"K", "X", "1", nullptr, "check", true});
    const auto holder = trial(plots);
    const auto means = sample_means(holder->season());
    const auto models = TrialModels::fit(*means, protein_only());
    REQUIRE(models);
    CHECK(models->checks() == std::vector<std::string>{"B", "K"});
    const TrialTrait& trait = models->traits().back();
    REQUIRE(trait.analysis);
    CHECK(trait.analysis->checks.size() == 1);
    CHECK_THAT(models->words(holder->season()), Catch::Contains("no comparison with check K"));
    LinesOptions options;
    options.trials = &*models;
    const auto table = rows_of(*lines_table(holder->season(), *means, options));
    CHECK(table.rows.back().at("protein_vs_k").empty());
    CHECK_FALSE(table.rows.back().at("protein_vs_b").empty());
}

TEST_CASE("checks whose names differ only in marks have columns of their own") {
    std::vector<Plot> plots = kTwoEnvironments;
    for (Plot& plot : plots) {
        plot.check = plot.line != std::string("C");
        plot.line = plot.line == std::string("A") ? "CK 1" : plot.line == std::string("B") ? "ck-1" : "C";
    }
    const auto holder = trial(plots);
    const auto means = sample_means(holder->season());
    const auto models = TrialModels::fit(*means, protein_only());
    REQUIRE(models);
    LinesOptions options;
    options.trials = &*models;
    const auto table = rows_of(*lines_table(holder->season(), *means, options));
    CHECK(table.rows[0].at("line") == "C");
    CHECK(table.numbers.at({0, "protein_vs_ck_1"}) == Approx(38.25 - 37.2));
    CHECK(table.numbers.at({0, "protein_vs_ck_1_2"}) == Approx(38.25 - 35.95));
}

TEST_CASE("a check whose name ends as another check's column has columns of its own") {
    for (const char* end : {" p", " se", "_LOW", "-high"}) {
        std::vector<Plot> plots = kTwoEnvironments;
        const std::string longer = std::string("CK 1") + end;
        for (Plot& plot : plots) {
            plot.check = plot.line != std::string("C");
            plot.line = plot.line == std::string("A")   ? "CK 1"
                        : plot.line == std::string("B") ? longer.c_str()
                                                        : "C";
        }
        const auto holder = trial(plots);
        const auto means = sample_means(holder->season());
        const auto models = TrialModels::fit(*means, protein_only());
        REQUIRE(models);
        LinesOptions options;
        options.trials = &*models;
        for (const bool is_long : {false, true}) {
            options.long_form = is_long;
            const auto table = lines_table(holder->season(), *means, options);
            std::set<std::string> names;
            for (const OutColumn& column : table->columns())
                CHECK(names.insert(column.name).second);
        }
    }
}

TEST_CASE("certain means leave out readings and values under review") {
    const auto holder = trial(kTwoEnvironments);
    holder->find("repeats-disagree", Severity::review, 0, "protein");
    holder->find("outside-calibration", Severity::review, 4);
    const auto means = sample_means(holder->season());
    const auto workspace = means->workspace();
    SampleNumbers usable, certain;
    const std::size_t protein = 1; // after moisture
    for (const RowId row : {0U, 4U}) {
        const SampleMeans::Group group{holder->batch.sample[row], 0};
        means->compute(group, *workspace, usable);
        means->compute(group, *workspace, certain, SampleMeans::Of::certain);
        CHECK(usable.n[protein] == 1);
        CHECK(certain.n[protein] == 0);
        CHECK(certain.n[0] == (row == 0 ? 1U : 0U)); // moisture: not under review itself
    }
}

TEST_CASE("an effect that does not exist or cannot be so is refused") {
    const rules::Ruleset rules;
    CHECK(trial_effects(rules, {"environment=random", "block=none"}));
    CHECK_FALSE(trial_effects(rules, {"replicate=fixed"}));
    CHECK_FALSE(trial_effects(rules, {"line_by_environment=fixed"}));
    CHECK_FALSE(trial_effects(rules, {"rep"}));
    CHECK(trial_effects(rules, {"rep=none"})->rep == stats::Effect::leave_out);
    CHECK(trial_effects(rules, {})->environment == stats::Effect::fixed);
}

namespace {

// A was lost at X, the poorer environment: its plain mean is the highest, its adjusted mean is not.
const std::vector<Plot> kLostAtX = {
    {"A", "X", "1", nullptr}, {"A", "X", "2", nullptr}, {"A", "Y", "1", "38.6"}, {"A", "Y", "2", "38.4"},
    {"B", "X", "1", "34.9"},  {"B", "X", "2", "35.2"},  {"B", "Y", "1", "36.6"}, {"B", "Y", "2", "37.1"},
    {"C", "X", "1", "37.3"},  {"C", "X", "2", "37.0"},  {"C", "Y", "1", "39.5"}, {"C", "Y", "2", "39.2"}};

std::vector<std::string> names_of(const page::LineGroup& group) {
    std::vector<std::string> names;
    for (const page::Line& line : group.lines)
        names.push_back(line.name);
    return names;
}

} // namespace

TEST_CASE("the page ranks by the model of the trial, as lines.csv does, and lines without a plot after it") {
    std::vector<Plot> plots = kLostAtX;
    plots.push_back({"D", "Y", "1", "45.0", "single_plant"});
    const auto holder = trial(plots);
    const Season season = holder->season();
    const auto means = sample_means(season);
    const auto models = TrialModels::fit(*means, protein_only());
    REQUIRE(models);
    const SeasonPage plain = season_page(season, *means, nullptr),
                     page = season_page(season, *means, nullptr, &*models);
    REQUIRE(plain.groups.size() == 1);
    CHECK_FALSE(plain.groups[0].fit);
    CHECK(names_of(plain.groups[0]) == std::vector<std::string>{"D", "A", "C", "B"});
    const page::LineGroup& group = page.groups.at(0);
    CHECK(names_of(group) == std::vector<std::string>{"C", "A", "B", "D"});
    REQUIRE(group.fit);
    CHECK(group.fit->model == models->traits()[0].analysis->model);
    CHECK(group.fit->lsd == models->traits()[0].analysis->lsd);
    CHECK(group.lines[3].rank == 0);
    CHECK(std::isnan(group.lines[3].adjusted.mean));
    LinesOptions options;
    options.trials = &*models;
    const auto table = rows_of(*lines_table(season, *means, options));
    for (const page::Line& line : group.lines)
        for (std::size_t row = 0; row < table.rows.size(); ++row)
            if (table.rows[row].at("line") == line.name && line.rank > 0) {
                CHECK(table.rows[row].at("protein_rank") == std::to_string(line.rank));
                CHECK(table.numbers.at({row, "protein_adj"}) == line.adjusted.mean);
                CHECK(table.numbers.at({row, "protein_adj_se"}) == line.adjusted.se);
            }
}

TEST_CASE("lines of one prediction stand in the order of their adjusted means on the page") {
    // The means of lines differ less than plots within them do.
    const auto holder = trial({{"A", "X", "1", "36.0"},
                               {"A", "X", "2", "38.0"},
                               {"B", "X", "1", "38.3"},
                               {"B", "X", "2", "35.9"},
                               {"C", "X", "1", "35.8"},
                               {"C", "X", "2", "38.1"},
                               {"D", "X", "1", "38.0"},
                               {"D", "X", "2", "36.1"}});
    const auto means = sample_means(holder->season());
    const auto models = TrialModels::fit(*means, protein_only());
    const SeasonPage page = season_page(holder->season(), *means, nullptr, &models.value());
    REQUIRE(page.groups.at(0).fit);
    for (const page::Line& line : page.groups[0].lines)
        CHECK(line.rank == 1);
    CHECK(names_of(page.groups[0]) == std::vector<std::string>{"B", "D", "A", "C"});
}

TEST_CASE("where a trial could not be analysed the page ranks by means and says why") {
    const auto holder = trial({{"A", "X", "1", "36.0"}, {"B", "X", "1", "38.3"}, {"C", "X", "1", "35.8"}});
    const auto means = sample_means(holder->season());
    const auto models = TrialModels::fit(*means, protein_only());
    const page::LineGroup group =
        season_page(holder->season(), *means, nullptr, &models.value()).groups.at(0);
    CHECK_FALSE(group.fit);
    REQUIRE(group.no_fit.size() == 1);
    CHECK(group.no_fit[0].starts_with("not analysed: "));
    CHECK(group.no_fit == models->traits()[0].notes);
    CHECK(names_of(group) == std::vector<std::string>{"B", "A", "C"});
    CHECK(group.lines[0].rank == 1);
    CHECK(season_page(holder->season(), *means, nullptr).groups.at(0).no_fit.empty());
}

TEST_CASE("an analysis without predictions does not rank the lines of the page") {
    // Each line stands in a rep of its own, and reps are fixed.
    const auto holder = trial({{"A", "X", "1", "36.0"},
                               {"A", "X", "1", "36.4"},
                               {"B", "X", "2", "38.0"},
                               {"B", "X", "2", "38.5"},
                               {"C", "X", "3", "37.1"},
                               {"C", "X", "3", "37.9"}});
    const auto means = sample_means(holder->season());
    TrialModelOptions options = protein_only();
    options.model.rep = stats::Effect::fixed;
    const auto models = TrialModels::fit(*means, options);
    REQUIRE(models->traits()[0].analysis);
    const page::LineGroup group =
        season_page(holder->season(), *means, nullptr, &models.value()).groups.at(0);
    CHECK_FALSE(group.fit);
    CHECK(group.no_fit == models->traits()[0].notes);
    CHECK(names_of(group) == std::vector<std::string>{"B", "C", "A"});
    CHECK(group.lines[0].rank == 1);
}

TEST_CASE("charts of lines draw adjusted means, and count the lines that have none") {
    const auto charts_of = [](const std::vector<Plot>& plots) {
        const auto holder = trial(plots);
        const auto means = sample_means(holder->season());
        const auto models = TrialModels::fit(*means, protein_only());
        LinesOptions options;
        options.trials = &models.value();
        return line_charts(holder->season(), *lines_table(holder->season(), *means, options));
    };
    const auto adjusted = charts_of(kLostAtX);
    REQUIRE(adjusted.size() == 1);
    CHECK(adjusted[0].adjusted);
    CHECK(adjusted[0].best[0].line == "C");
    CHECK(adjusted[0].best[1].mean < 38.0); // A: 38.5 as read
    CHECK(adjusted[0].best[1].low.value() ==
          Approx(adjusted[0].best[1].mean - adjusted[0].best[1].se.value()));
    std::vector<Plot> plots = kLostAtX;
    plots.push_back({"D", "Y", "1", "45.0", "single_plant"});
    const auto one_without = charts_of(plots);
    CHECK(one_without.at(0).adjusted);
    CHECK(one_without[0].lines == adjusted[0].lines);
    CHECK(one_without[0].not_drawn == 1);
    CHECK(one_without[0].best[0].line == "C");
    for (Plot& plot : plots)
        plot.kind = "single_plant";
    const auto plain = charts_of(plots);
    CHECK_FALSE(plain.at(0).adjusted);
    CHECK(plain[0].lines == 4);
    CHECK(plain[0].best[0].mean == Approx(45.0));
}

TEST_CASE(
    "known variances go from dry matter to the basis of the results, so that none changes heritability") {
    const auto fitted = [](std::optional<Basis> basis) {
        const auto holder = trial(kTwoEnvironments);
        holder->rules.basis = basis;
        rules::Material& soy = holder->rules.materials.at(0);
        soy.plot_sd = {{constituent::protein, 0.2}};
        soy.repeatability_sd = {{constituent::protein, 0.1}};
        auto models = TrialModels::fit(*sample_means(holder->season()), protein_only());
        REQUIRE(models);
        return models->traits().at(0);
    };
    const TrialTrait dry = fitted(Basis::dry()), at_13 = fitted(Basis::at(13)),
                     as_is = fitted(Basis::as_is());
    CHECK(dry.analysis->components.back().variance == Approx(0.2 * 0.2 + 0.1 * 0.1).epsilon(1e-12));
    CHECK(at_13.analysis->components.back().variance == Approx(0.87 * 0.87 * 0.05).epsilon(1e-12));
    CHECK(at_13.analysis->heritability.cullis.value() ==
          Approx(dry.analysis->heritability.cullis.value()).epsilon(1e-6));
    CHECK(at_13.analysis->lines[0].blup.value() ==
          Approx(0.87 * dry.analysis->lines[0].blup.value()).epsilon(1e-7));
    // These were all read at 13 % moisture.
    CHECK(as_is.analysis->components.back().variance == Approx(0.87 * 0.87 * 0.05).epsilon(1e-12));
    CHECK_THAT(as_is.notes.at(0),
               Catch::Contains("plot SD 0.174, reading SD 0.087 over readings (basis as-is)"));
}

// Trial analyses against the closed forms of balanced data and lme4.
#include <thresh/stats/trial.hpp>

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using namespace thresh::stats;

TEST_CASE("invented trial of five lines in three environments with two replicates") {
    // Invented data; mean squares line 7.530833, line by environment 0.607833, error 0.0238333, and what
    // follows from them in closed form. H2 = 1 - MS_GE / MS_G; SED = sqrt(2 MS_GE / (e r)).
    const std::array<double, 30> y{34.2, 35.6, 33.1, 36.4, 34.9, 34.8, 35.9, 33.8, 36.9, 35.2,
                                   33.0, 34.9, 32.9, 34.6, 34.4, 32.6, 34.3, 32.8, 34.1, 34.2,
                                   35.1, 36.0, 33.9, 37.6, 35.2, 35.4, 36.5, 34.0, 38.1, 35.1};
    TrialData data;
    data.lines = 5;
    for (int i = 0; i < 30; ++i) {
        data.y.push_back(y[static_cast<std::size_t>(i)]);
        data.line.push_back(i % 5);
        data.environment.push_back(i / 10);
        data.rep.push_back(i / 5 % 2);
    }
    const double ms_line = 7.53083333333333;
    const double ms_interaction = 0.607833333333333;
    TrialOptions options;
    options.environment = Effect::random;
    const auto analysis = analyse_trial(data, options);
    REQUIRE(analysis);
    CHECK(analysis->components[0].variance == Approx((ms_line - ms_interaction) / 6).epsilon(1e-10));
    CHECK(analysis->components.back().variance == Approx(0.0238333333333333).epsilon(1e-10));
    CHECK(*analysis->grand_mean == Approx(34.85).epsilon(1e-12));
    CHECK(*analysis->grand_mean_se == Approx(0.740270).margin(1e-6));
    CHECK(*analysis->cv == Approx(0.442986).margin(1e-6));
    CHECK(*analysis->sed == Approx(std::sqrt(2 * ms_interaction / 6)).epsilon(1e-9));
    CHECK(*analysis->sed_df == Approx(8.0).epsilon(1e-6));
    CHECK(*analysis->lsd == Approx(1.037987).margin(1e-6));
    const double h2 = 1 - ms_interaction / ms_line;
    CHECK(*analysis->heritability.plain == Approx(h2).epsilon(1e-9));
    CHECK(*analysis->heritability.cullis == Approx(h2).epsilon(1e-9));
    CHECK(*analysis->heritability.piepho == Approx(h2).epsilon(1e-9));
    const std::array<double, 5> blup{-0.612858, 0.628180, -1.317645, 1.317645, -0.015321};
    for (std::size_t l = 0; l < 5; ++l) {
        CHECK(*analysis->lines[l].blup - 34.85 == Approx(blup[l]).margin(1e-6));
        CHECK(*analysis->lines[l].blue - 34.85 == Approx(blup[l] / h2).margin(2e-6));
    }
    // With environments fixed the line components stay the same in balanced data.
    const auto fixed = analyse_trial(data);
    CHECK(fixed->components[0].variance == Approx((ms_line - ms_interaction) / 6).epsilon(1e-10));
    CHECK(*fixed->sed == Approx(*analysis->sed).epsilon(1e-9));
}

TEST_CASE("PlantGrowth as a completely random trial with a check") {
    // R data set PlantGrowth (Dobson 1983): dried weights of plants, control and two treatments of ten.
    // Dunnett p-values by two-dimensional quadrature, with which R package multcomp agrees.
    TrialData data;
    data.y = {4.17, 5.58, 5.18, 6.11, 4.50, 4.61, 5.17, 4.53, 5.33, 5.14, 4.81, 4.17, 4.41, 3.59, 5.87,
              3.83, 6.03, 4.89, 4.32, 4.69, 6.31, 5.12, 5.54, 5.50, 5.37, 5.29, 4.92, 6.15, 5.80, 5.26};
    data.lines = 3;
    for (int i = 0; i < 30; ++i)
        data.line.push_back(i / 10);
    TrialOptions options;
    options.checks = {0};
    const auto analysis = analyse_trial(data, options);
    REQUIRE(analysis);
    REQUIRE(analysis->checks.size() == 1);
    const CheckComparison& comparison = analysis->checks[0];
    CHECK(comparison.df == Approx(27.0).epsilon(1e-6));
    CHECK(comparison.lines[1]->p == Approx(0.3226956858).margin(1e-6));
    CHECK(comparison.lines[2]->p == Approx(0.1534858615).margin(1e-6));
    CHECK(comparison.critical == Approx(2.333411547).margin(1e-6));
}

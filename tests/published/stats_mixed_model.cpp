// REML against published examples and the closed form for balanced data. More sets, read from R at test time
// and compared with lme4 there, are in tests/interop/stats.
#include <thresh/stats/mixed_model.hpp>

#include <array>
#include <catch2/catch.hpp>
#include <cmath>

using namespace thresh::stats;

namespace {

MixedModel dyestuff() {
    // Davies and Goldsmith (1972), Statistical Methods in Research and Production, table 6.1: yield of
    // dyestuff from five preparations of each of six batches of an intermediate.
    MixedModel model;
    model.y = {1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
               1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445};
    Factor batch{"batch", {}, 6};
    for (int i = 0; i < 30; ++i)
        batch.level.push_back(i / 5);
    model.random = {batch};
    return model;
}

// Invented multi-environment trial of five lines, three environments, two replicates.
const std::array<std::array<double, 5>, 6> met{{{34.2, 35.6, 33.1, 36.4, 34.9},
                                                {34.8, 35.9, 33.8, 36.9, 35.2},
                                                {33.0, 34.9, 32.9, 34.6, 34.4},
                                                {32.6, 34.3, 32.8, 34.1, 34.2},
                                                {35.1, 36.0, 33.9, 37.6, 35.2},
                                                {35.4, 36.5, 34.0, 38.1, 35.1}}};

MixedModel invented_trial(bool unbalanced) {
    MixedModel model;
    Factor line{"line", {}, 5};
    Factor environment{"environment", {}, 3};
    Factor rep{"rep", {}, 6};
    for (int plot = 0; plot < 30; ++plot) {
        const int r = plot / 5;
        const int l = plot % 5;
        const bool lost = (r == 0 && l == 0) || (r == 3 && l == 2) || (r == 4 && l == 4);
        if (unbalanced && lost)
            continue;
        model.y.push_back(met[static_cast<std::size_t>(r)][static_cast<std::size_t>(l)]);
        line.level.push_back(l);
        environment.level.push_back(r / 2);
        rep.level.push_back(r);
    }
    model.random = {line, environment, rep, crossed(line, environment)};
    return model;
}

} // namespace

TEST_CASE("Dyestuff by REML equals the balanced analysis of variance and the published fit") {
    // Components 1764.05 and 2451.25 are exact (ANOVA); criterion, standard error and BLUPs as in the lme4
    // documentation, further digits by Fisher scoring to 1e-13.
    const auto fit = fit_mixed_model(dyestuff());
    REQUIRE(fit);
    CHECK(fit->converged());
    CHECK(fit->components()[0].variance == Approx(1764.05).epsilon(1e-10));
    CHECK(fit->components()[1].variance == Approx(2451.25).epsilon(1e-10));
    CHECK(fit->reml_criterion() == Approx(319.65427684).epsilon(1e-10));
    CHECK(fit->coefficient(0) == Approx(1527.5).epsilon(1e-12));
    CHECK(std::sqrt(fit->variance(0)) == Approx(19.383412152).epsilon(1e-9));
    const std::array<double, 6> blup{-17.606851351, 0.39126336335, 28.562225525,
                                     -23.084538438, 56.733187686,  -44.995286785};
    for (int b = 0; b < 6; ++b)
        CHECK(fit->coefficient(fit->random_position(0, b)) ==
              Approx(blup[static_cast<std::size_t>(b)]).epsilon(1e-9));
    // Standard errors of the components in balanced data: 2 MS^2 / df of each mean square (closed form).
    const double ms_between = 5 * 1764.05 + 2451.25;
    const double variance = (2 * ms_between * ms_between / 5 + 2 * 2451.25 * 2451.25 / 24) / 25;
    CHECK(*fit->components()[0].se == Approx(std::sqrt(variance)).epsilon(1e-8));
    CHECK(*fit->components()[1].se == Approx(2451.25 * std::sqrt(2.0 / 24)).epsilon(1e-8));
}

TEST_CASE("invented trial, balanced, equals the analysis of variance") {
    // Closed form from the mean squares; criterion and BLUPs by lme4 on the same numbers.
    const auto fit = fit_mixed_model(invented_trial(false));
    REQUIRE(fit);
    const auto& components = fit->components();
    const double error = 0.0238333333333333;
    const double interaction = (0.607833333333333 - error) / 2;
    CHECK(components[3].variance == Approx(interaction).epsilon(1e-10));
    CHECK(components[4].variance == Approx(error).epsilon(1e-10));
    CHECK(components[0].variance == Approx(1.153833).margin(1e-6));
    CHECK(components[1].variance == Approx(0.857667).margin(1e-6));
    CHECK(components[2].variance == Approx(0.0665).margin(1e-9));
    CHECK(fit->reml_criterion() == Approx(46.36327).margin(1e-5));
    CHECK(fit->coefficient(0) == Approx(34.85).epsilon(1e-12));
    CHECK(std::sqrt(fit->variance(0)) == Approx(0.740270).margin(1e-6));
    const std::array<double, 5> blup{-0.612858, 0.628180, -1.317645, 1.317645, -0.015321};
    for (int l = 0; l < 5; ++l)
        CHECK(fit->coefficient(fit->random_position(0, l)) ==
              Approx(blup[static_cast<std::size_t>(l)]).margin(1e-6));
}

TEST_CASE("invented trial with three plots lost") {
    // lme4 1.1-31 on the same numbers, five decimals.
    const auto fit = fit_mixed_model(invented_trial(true));
    REQUIRE(fit);
    const auto& components = fit->components();
    CHECK(components[0].variance == Approx(1.18047).margin(2e-5));
    CHECK(components[1].variance == Approx(0.85439).margin(2e-5));
    CHECK(components[2].variance == Approx(0.07965).margin(2e-5));
    CHECK(components[3].variance == Approx(0.30976).margin(2e-5));
    CHECK(components[4].variance == Approx(0.01708).margin(2e-5));
    CHECK(fit->coefficient(0) == Approx(34.83189).margin(1e-5));
    CHECK(fit->reml_criterion() == Approx(44.34033).margin(1e-5));
    const std::array<double, 5> blup{-0.56939, 0.64360, -1.34712, 1.33175, -0.05884};
    for (int l = 0; l < 5; ++l)
        CHECK(fit->coefficient(fit->random_position(0, l)) ==
              Approx(blup[static_cast<std::size_t>(l)]).margin(1e-5));
}

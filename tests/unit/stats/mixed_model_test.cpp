#include <thresh/stats/mixed_model.hpp>
#include <thresh/stats/random.hpp>

#include <catch2/catch.hpp>
#include <cmath>

using namespace thresh::stats;

namespace {

// Two-way layout of `lines` x `sites` with `reps` plots a cell; every `gap`-th plot is missing (0: none).
MixedModel two_way(int lines, int sites, int reps, int gap, double line_sd) {
    MixedModel model;
    Factor line{"line", {}, lines};
    Factor site{"site", {}, sites};
    std::vector<double> effects(static_cast<std::size_t>(lines));
    random_normals(1, 0, effects);
    std::vector<double> noise(static_cast<std::size_t>(lines * sites * reps));
    random_normals(1, 1, noise);
    for (int i = 0; i < lines * sites * reps; ++i) {
        if (gap > 0 && i % gap == gap - 1)
            continue;
        const int l = i % lines;
        const int s = i / lines % sites;
        line.level.push_back(l);
        site.level.push_back(s);
        model.y.push_back(35.0 + 0.7 * s + line_sd * effects[static_cast<std::size_t>(l)] +
                          0.5 * noise[static_cast<std::size_t>(i)]);
    }
    model.fixed = {site};
    model.random = {line};
    return model;
}

std::string error_of(const MixedModel& model) {
    const auto fit = fit_mixed_model(model);
    return fit ? std::string() : fit.error().message;
}

} // namespace

TEST_CASE("what cannot be fitted is told in words") {
    MixedModel none;
    CHECK(error_of(none).find("no observation") != std::string::npos);
    MixedModel constant = two_way(4, 2, 2, 0, 1.0);
    std::fill(constant.y.begin(), constant.y.end(), 34.1);
    CHECK(error_of(constant).find("equal") != std::string::npos);
    MixedModel single = two_way(12, 1, 1, 0, 1.0);
    CHECK(error_of(single).find("residual") != std::string::npos);
    MixedModel twice = two_way(5, 3, 2, 0, 1.0);
    twice.random.push_back(twice.random[0]);
    CHECK(error_of(twice).find("told apart") != std::string::npos);
    MixedModel absorbed = two_way(5, 3, 2, 0, 1.0);
    absorbed.fixed.push_back(absorbed.random[0]);
    CHECK(error_of(absorbed).find("fixed effects") != std::string::npos);
    MixedModel full;
    full.y = {1, 2, 3};
    full.fixed = {Factor{"plot", {0, 1, 2}, 3}};
    CHECK(error_of(full).find("no residual") != std::string::npos);
}

TEST_CASE("plots with values that were copied from each other are told as a residual variance of 0") {
    MixedModel model = two_way(8, 2, 2, 0, 1.0); // plots 16 to 31 repeat lines and sites of 0 to 15
    Factor both{"line by site", {}, 16};
    for (std::size_t i = 0; i < model.y.size(); ++i) {
        both.level.push_back(static_cast<int>(i % 16));
        model.y[i] = std::round(100.0 * model.y[i % 16]) / 100.0;
    }
    model.random.push_back(both);
    CHECK(error_of(model).find("without remainder") != std::string::npos);
    // A hundredth between two of them is a remainder.
    model.y[3] += 0.01;
    CHECK(error_of(model).empty());
}

TEST_CASE("a component without variation ends at the boundary and the rest is fitted without it") {
    const MixedModel model = two_way(6, 4, 3, 0, 0.0);
    MixedModel spread = model;
    // Take the line means out: between-line variation is then smaller than chance allows.
    for (int l = 0; l < 6; ++l) {
        double sum = 0.0;
        int count = 0;
        for (std::size_t i = 0; i < model.y.size(); ++i)
            if (model.random[0].level[i] == l) {
                sum += model.y[i];
                ++count;
            }
        for (std::size_t i = 0; i < model.y.size(); ++i)
            if (model.random[0].level[i] == l)
                spread.y[i] -= sum / count;
    }
    const auto fit = fit_mixed_model(spread);
    INFO(error_of(spread));
    REQUIRE(fit);
    CHECK(fit->converged());
    CHECK(fit->components()[0].at_boundary);
    CHECK(fit->components()[0].variance == 0.0);
    CHECK_FALSE(fit->components()[0].se);
    CHECK(fit->coefficient(fit->random_position(0, 3)) == 0.0);
    MixedModel without = spread;
    without.random.clear();
    const auto plain = fit_mixed_model(without);
    REQUIRE(plain);
    CHECK(fit->components()[1].variance == Approx(plain->components()[0].variance).epsilon(1e-10));
    CHECK(fit->reml_criterion() == Approx(plain->reml_criterion()).epsilon(1e-12));
}

TEST_CASE("without random factors the fit is weighted least squares") {
    MixedModel model;
    model.y = {1.0, 2.1, 2.9, 4.2, 5.0};
    model.weights = {1, 2, 1, 2, 1};
    model.covariates = {{"x", {-2, -1, 0, 1, 2}}};
    const auto fit = fit_mixed_model(model);
    REQUIRE(fit);
    // Normal equations by hand: sum w = 7, sum wx = 0, sum wy = 21.5, sum wxx = 12, sum wxy = 12.2.
    CHECK(fit->coefficient(0) == Approx(21.5 / 7).epsilon(1e-12));
    CHECK(fit->coefficient(fit->covariate_position(0)) == Approx(12.2 / 12).epsilon(1e-12));
    const auto slope = fit->estimate({{fit->covariate_position(0), 1.0}});
    REQUIRE(slope);
    CHECK(slope->df == Approx(3.0).epsilon(1e-9));
    CHECK(slope->se == Approx(std::sqrt(fit->components()[0].variance / 12)).epsilon(1e-10));
}

TEST_CASE("a plot of weight two counts as two equal plots for the fixed effects") {
    MixedModel doubled;
    doubled.y = {10, 11, 12, 12, 15};
    doubled.fixed = {Factor{"line", {0, 0, 1, 1, 1}, 2}};
    MixedModel weighted = doubled;
    weighted.y = {10, 11, 12, 15};
    weighted.weights = {1, 1, 2, 1};
    weighted.fixed = {Factor{"line", {0, 0, 1, 1}, 2}};
    const auto a = fit_mixed_model(doubled);
    const auto b = fit_mixed_model(weighted);
    const LinearForm form{{a->fixed_position(0, 1), 1.0}, {a->fixed_position(0, 0), -1.0}};
    CHECK(a->estimate(form)->value == Approx(b->estimate(form)->value).epsilon(1e-12));
}

TEST_CASE("contrasts in disconnected parts are not estimable and say so") {
    MixedModel model;
    model.y = {1, 2, 3, 4, 2, 5, 3, 7};
    model.fixed = {Factor{"line", {0, 1, 0, 1, 2, 3, 2, 3}, 4}, Factor{"site", {0, 0, 0, 0, 1, 1, 1, 1}, 2}};
    const auto fit = fit_mixed_model(model);
    REQUIRE(fit);
    CHECK(fit->fixed_rank() == 4);
    const auto difference = [&](int a, int b) {
        return fit->estimate({{fit->fixed_position(0, a), 1.0}, {fit->fixed_position(0, b), -1.0}});
    };
    REQUIRE(difference(1, 0));
    CHECK(difference(1, 0)->value == Approx(1.0));
    REQUIRE(difference(3, 2));
    CHECK_FALSE(difference(2, 0));
    CHECK_FALSE(fit->mean_difference_variance_of_fixed(0));
    CHECK(fit->mean_difference_variance_of_fixed(0, {true, true, false, false}));
    const auto parts = connectivity(model.fixed[0], model.fixed[1]);
    CHECK(parts.parts == 2);
    CHECK(parts.part.front() == 0);
    CHECK(parts.part.back() == 1);
}

TEST_CASE("mean variances of differences equal the average over all pairs") {
    const MixedModel random_lines = two_way(7, 3, 2, 5, 1.0);
    MixedModel fixed_lines = random_lines;
    fixed_lines.fixed = random_lines.random;
    fixed_lines.random = random_lines.fixed;
    const auto blup = fit_mixed_model(random_lines);
    const auto blue = fit_mixed_model(fixed_lines);
    REQUIRE(blup);
    REQUIRE(blue);
    double random_sum = 0.0;
    double fixed_sum = 0.0;
    for (int i = 0; i < 7; ++i)
        for (int j = 0; j < i; ++j) {
            const double se_random =
                blup->estimate({{blup->random_position(0, i), 1.0}, {blup->random_position(0, j), -1.0}})->se;
            const double se_fixed =
                blue->estimate({{blue->fixed_position(0, i), 1.0}, {blue->fixed_position(0, j), -1.0}})->se;
            random_sum += se_random * se_random;
            fixed_sum += se_fixed * se_fixed;
        }
    CHECK(*blup->mean_difference_variance_of_random(0) == Approx(random_sum / 21).epsilon(1e-9));
    CHECK(*blue->mean_difference_variance_of_fixed(0) == Approx(fixed_sum / 21).epsilon(1e-9));
}

TEST_CASE("prediction error variances of the diagonal equal those of single solves") {
    const auto fit = fit_mixed_model(two_way(9, 4, 2, 6, 0.8));
    REQUIRE(fit);
    for (int l = 0; l < 9; ++l) {
        const std::size_t at = fit->random_position(0, l);
        CHECK(fit->variance(at) == Approx(fit->covariance({{at, 1.0}}, {{at, 1.0}})).epsilon(1e-10));
    }
}

TEST_CASE("shifting and scaling the response shifts and scales the fit") {
    const MixedModel model = two_way(8, 3, 2, 7, 1.0);
    MixedModel moved = model;
    for (double& y : moved.y)
        y = 1000.0 + 10.0 * y;
    const auto a = fit_mixed_model(model);
    const auto b = fit_mixed_model(moved);
    CHECK(b->components()[0].variance == Approx(100 * a->components()[0].variance).epsilon(1e-8));
    const LinearForm mean{{0, 1.0}, {a->fixed_position(0, 1), 1.0}};
    CHECK(b->estimate(mean)->value == Approx(1000 + 10 * a->estimate(mean)->value).epsilon(1e-10));
}

TEST_CASE("known variances are taken as they are") {
    MixedModel model = two_way(8, 3, 2, 7, 1.0);
    model.residual_known = true;
    model.weights.assign(model.y.size(), 1.0 / 0.25);
    const auto fit = fit_mixed_model(model);
    REQUIRE(fit);
    CHECK(fit->converged());
    CHECK(fit->components().back().variance == Approx(1.0).epsilon(1e-12));
    CHECK_FALSE(fit->components().back().se);
    CHECK(fit->components()[0].variance > 0.1);
}

TEST_CASE("values that vary less than a known residual leave least squares with that residual") {
    // Alternating around their means: less than chance would give between levels of any factor.
    MixedModel model;
    Factor line{"line", {}, 6}, rep{"rep", {}, 4}, environment{"environment", {}, 2};
    for (int plot = 0; plot < 24; ++plot) {
        line.level.push_back(plot % 6);
        rep.level.push_back(plot / 6);
        environment.level.push_back(plot / 12);
        model.y.push_back(40.0 + plot / 12 + ((plot / 6 + plot % 6) % 2 == 0 ? 0.1 : -0.1));
    }
    Factor interaction = crossed(line, environment);
    model.fixed = {environment};
    model.residual_known = true;
    model.weights.assign(model.y.size(), 1.0 / 0.8);
    SECTION("one random factor") {
        model.random = {line};
    }
    SECTION("several") {
        model.random = {line, rep, interaction};
    }
    SECTION("lines fixed") {
        model.fixed.push_back(line);
        model.random = {rep, interaction};
    }
    const auto fit = fit_mixed_model(model);
    REQUIRE(fit);
    CHECK(fit->converged());
    for (std::size_t r = 0; r < model.random.size(); ++r) {
        CHECK(fit->components()[r].at_boundary);
        CHECK(fit->components()[r].variance == 0.0);
    }
    // Twelve plots an environment, each with variance 0.8.
    const auto difference =
        fit->estimate({{fit->fixed_position(0, 0), 1.0}, {fit->fixed_position(0, 1), -1.0}});
    REQUIRE(difference);
    CHECK(difference->value == Approx(-1.0).epsilon(1e-9));
    CHECK(difference->se == Approx(std::sqrt(2 * 0.8 / 12)).epsilon(1e-9));
    CHECK(std::isinf(difference->df));
}

TEST_CASE("draws have the spread that the standard errors state and repeat with their seed") {
    const auto fit = fit_mixed_model(two_way(6, 3, 3, 8, 1.0));
    REQUIRE(fit);
    const std::size_t a = fit->random_position(0, 1);
    const std::size_t b = fit->random_position(0, 4);
    const auto difference = fit->estimate({{a, 1.0}, {b, -1.0}});
    double sum = 0.0;
    double squares = 0.0;
    const int draws = 4000;
    for (int d = 0; d < draws; ++d) {
        const auto drawn = fit->draw(7, static_cast<std::uint64_t>(d));
        const double x = drawn[a] - drawn[b] - difference->value;
        sum += x;
        squares += x * x;
    }
    CHECK(std::fabs(sum / draws) < 4 * difference->se / std::sqrt(draws));
    CHECK(std::sqrt(squares / draws) == Approx(difference->se).epsilon(0.05));
    CHECK(fit->draw(7, 3) == fit->draw(7, 3));
    CHECK(fit->draw(7, 3) != fit->draw(8, 3));
}

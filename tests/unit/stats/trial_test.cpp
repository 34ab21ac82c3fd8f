#include <thresh/stats/random.hpp>
#include <thresh/stats/trial.hpp>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using namespace thresh::stats;

namespace {

// Invented trial: line effects of SD 1 and plot errors of SD `error`, every `gap`-th plot lost.
TrialData invented(int lines, int environments, int reps, double error, int gap = 0) {
    TrialData data;
    data.lines = lines;
    std::vector<double> effects(static_cast<std::size_t>(lines));
    random_normals(3, 0, effects);
    std::vector<double> noise(static_cast<std::size_t>(lines * environments * reps));
    random_normals(3, 1, noise);
    std::size_t plot = 0;
    for (int e = 0; e < environments; ++e)
        for (int r = 0; r < reps; ++r)
            for (int l = 0; l < lines; ++l, ++plot) {
                if (gap > 0 && static_cast<int>(plot) % gap == 0)
                    continue;
                data.y.push_back(35 + 0.5 * e + 0.2 * r + effects[static_cast<std::size_t>(l)] +
                                 error * noise[plot]);
                data.line.push_back(l);
                data.environment.push_back(e);
                data.rep.push_back(r);
            }
    return data;
}

std::string error_of(const TrialData& data) {
    const auto analysis = analyse_trial(data);
    return analysis ? std::string() : analysis.error().message;
}

bool noted(const TrialAnalysis& analysis, const std::string& text) {
    return std::any_of(analysis.notes.begin(), analysis.notes.end(),
                       [&](const std::string& each) { return each.find(text) != std::string::npos; });
}

} // namespace

TEST_CASE("trials that cannot be analysed say why") {
    CHECK(error_of(TrialData{}).find("no plot") != std::string::npos);
    TrialData single = invented(1, 2, 2, 0.5);
    CHECK(error_of(single).find("single line") != std::string::npos);
    CHECK(error_of(invented(10, 1, 1, 0.5)).find("one plot") != std::string::npos);
    TrialData constant = invented(5, 1, 3, 0.5);
    std::fill(constant.y.begin(), constant.y.end(), 30.0);
    CHECK(error_of(constant).find("equal") != std::string::npos);
    TrialData apart = invented(6, 2, 2, 0.5);
    for (std::size_t i = 0; i < apart.y.size(); ++i)
        apart.line[i] = apart.line[i] % 3 + 3 * apart.environment[i];
    CHECK(error_of(apart).find("share no line") != std::string::npos);
}

TEST_CASE("with known variances one plot a line is enough, and what exceeds them is the line's") {
    TrialData data = invented(12, 1, 1, 0.3);
    data.environment.clear();
    data.rep.clear();
    REQUIRE(error_of(data).find("each line has one plot") != std::string::npos);
    data.known_variances = true;
    data.weights.assign(data.y.size(), 1 / 0.09);
    const auto analysis = analyse_trial(data);
    REQUIRE(analysis);
    double mean = 0, square = 0;
    for (const double y : data.y)
        mean += y / 12;
    for (const double y : data.y)
        square += (y - mean) * (y - mean) / 11;
    CHECK(analysis->components.front().variance == Approx(square - 0.09).epsilon(1e-9));
    CHECK(analysis->components.back().variance == Approx(0.09).epsilon(1e-12));
    CHECK(*analysis->heritability.plain == Approx(1 - 0.09 / square).epsilon(1e-9));
    CHECK(*analysis->lines[3].blue == Approx(data.y[3]).epsilon(1e-12));
    CHECK(*analysis->lines[3].blue_se == Approx(0.3).epsilon(1e-9));
    CHECK(*analysis->lines[3].blup == Approx(mean + (1 - 0.09 / square) * (data.y[3] - mean)).epsilon(1e-9));
}

TEST_CASE("plots that vary less than their known variance give plain means and no line variance") {
    for (const int environments : {1, 2}) {
        TrialData data = invented(6, environments, 2, 0.02);
        for (std::size_t i = 0; i < data.y.size(); ++i)
            data.y[i] = 40 + 0.1 * (data.y[i] - 35);
        data.known_variances = true;
        data.weights.assign(data.y.size(), 1 / 4.0);
        TrialOptions options;
        options.checks = {0};
        options.best = 2;
        const auto analysis = analyse_trial(data, options);
        REQUIRE(analysis);
        for (std::size_t c = 0; c + 1 < analysis->components.size(); ++c)
            CHECK(analysis->components[c].variance == 0);
        CHECK(noted(*analysis, "variance of line: estimated as 0"));
        const double plots = 2.0 * environments;
        double mean = 0, first = 0;
        for (std::size_t i = 0; i < data.y.size(); ++i) {
            mean += data.y[i] / (6 * plots);
            first += data.line[i] == 0 ? data.y[i] / plots : 0;
        }
        CHECK(*analysis->heritability.plain == 0);
        CHECK(*analysis->lines[0].blup == Approx(mean).epsilon(1e-12));
        CHECK(*analysis->lines[0].blue == Approx(first).epsilon(1e-12));
        CHECK(*analysis->lines[0].blue_se == Approx(std::sqrt(4 / plots)).epsilon(1e-9));
        // Differences from known variances: the normal distribution.
        CHECK(*analysis->sed == Approx(std::sqrt(2 * 4 / plots)).epsilon(1e-9));
        CHECK(*analysis->lsd == Approx(1.959964 * *analysis->sed).epsilon(1e-6));
        CHECK(analysis->checks.front().lines[1]->plain_p > 0.9);
    }
}

TEST_CASE("a plot of known larger variance counts for less") {
    TrialData data;
    data.lines = 2;
    data.line = {0, 0, 1, 1};
    data.y = {10, 14, 20, 22};
    data.known_variances = true;
    data.weights = {1, 1.0 / 3, 1, 1};
    const auto analysis = analyse_trial(data);
    REQUIRE(analysis);
    CHECK(*analysis->lines[0].blue == Approx(11).epsilon(1e-12));
    CHECK(*analysis->lines[0].blue_se == Approx(std::sqrt(0.75)).epsilon(1e-9));
}

TEST_CASE("a completely random trial gives plain means as adjusted means") {
    TrialData data = invented(6, 1, 4, 0.5);
    data.environment.clear();
    data.rep.clear();
    const auto analysis = analyse_trial(data);
    REQUIRE(analysis);
    CHECK(analysis->model == "line (random for predictions, fixed for adjusted means) + residual");
    for (int l = 0; l < 6; ++l) {
        double sum = 0.0;
        for (std::size_t i = 0; i < data.y.size(); ++i)
            sum += data.line[i] == l ? data.y[i] : 0.0;
        const LineResult& line = analysis->lines[static_cast<std::size_t>(l)];
        REQUIRE(line.blue);
        CHECK(*line.blue == Approx(sum / 4).epsilon(1e-12));
        const double residual = *analysis->sed * *analysis->sed / 2;
        CHECK(*line.blue_se == Approx(std::sqrt(residual)).epsilon(1e-9));
    }
    CHECK(*analysis->sed_df == Approx(18.0).epsilon(1e-6));
    CHECK(noted(*analysis, "one environment"));
}

TEST_CASE("a complete block trial has the error degrees of freedom of its analysis of variance") {
    const auto analysis = analyse_trial(invented(8, 1, 3, 0.5));
    REQUIRE(analysis);
    CHECK(*analysis->sed_df == Approx(14.0).epsilon(1e-6));
    CHECK(analysis->model.find("rep (random)") != std::string::npos);
}

TEST_CASE("in balanced data the three heritabilities agree") {
    const auto analysis = analyse_trial(invented(20, 4, 2, 0.8));
    REQUIRE(analysis);
    REQUIRE(analysis->heritability.plain);
    CHECK(*analysis->heritability.cullis == Approx(*analysis->heritability.plain).epsilon(1e-8));
    CHECK(*analysis->heritability.piepho == Approx(*analysis->heritability.plain).epsilon(1e-8));
    CHECK(*analysis->heritability.plain > 0.8);
}

TEST_CASE("lines of the list without a plot change no number of the others") {
    TrialData data = invented(12, 2, 2, 0.8);
    const auto before = analyse_trial(data);
    data.lines += 3;
    const auto after = analyse_trial(data);
    REQUIRE(before);
    REQUIRE(after);
    CHECK(*after->heritability.cullis == Approx(*before->heritability.cullis).epsilon(1e-9));
    CHECK(*after->heritability.piepho == Approx(*before->heritability.piepho).epsilon(1e-9));
    CHECK(*after->heritability.plain == Approx(*before->heritability.plain).epsilon(1e-9));
    CHECK(*after->sed == Approx(*before->sed).epsilon(1e-9));
    CHECK(after->lines_with_plots == 12);
}

TEST_CASE("a line that lost its plots in the best environment is not punished for it") {
    TrialData data = invented(5, 3, 3, 0.05);
    TrialData lost = data;
    for (std::size_t i = lost.y.size(); i-- > 0;)
        if (lost.line[i] == 2 && lost.environment[i] == 2) {
            const auto at = static_cast<std::ptrdiff_t>(i);
            lost.y.erase(lost.y.begin() + at);
            lost.line.erase(lost.line.begin() + at);
            lost.environment.erase(lost.environment.begin() + at);
            lost.rep.erase(lost.rep.begin() + at);
        }
    const auto full = analyse_trial(data);
    const auto part = analyse_trial(lost);
    REQUIRE(part);
    CHECK(*part->lines[2].blue == Approx(*full->lines[2].blue).margin(0.1));
    CHECK(*part->lines[2].blue_se > *full->lines[2].blue_se);
    CHECK(part->lines[2].environments == 2);
}

TEST_CASE("checks are compared simultaneously and a check that was never read is told") {
    TrialOptions options;
    options.checks = {0, 11};
    TrialData data = invented(11, 2, 2, 0.6);
    data.lines = 12;
    const auto analysis = analyse_trial(data, options);
    REQUIRE(analysis);
    REQUIRE(analysis->checks.size() == 1);
    CHECK(noted(*analysis, "check 11"));
    const CheckComparison& comparison = analysis->checks[0];
    CHECK_FALSE(comparison.lines[0]);
    CHECK_FALSE(comparison.lines[11]);
    for (int l = 1; l < 11; ++l) {
        const auto& line = comparison.lines[static_cast<std::size_t>(l)];
        REQUIRE(line);
        CHECK(line->p >= line->plain_p);
        CHECK((line->low > 0.0 || line->high < 0.0) == (line->p < 0.05));
        CHECK(line->difference ==
              Approx(*analysis->lines[static_cast<std::size_t>(l)].blue - *analysis->lines[0].blue));
    }
    CHECK_FALSE(analysis->lines[11].blue);
}

TEST_CASE("chances of being among the best add up to how many are chosen and repeat") {
    TrialOptions options;
    options.best = 3;
    options.checks = {4};
    const TrialData data = invented(12, 2, 2, 1.0, 7);
    const auto first = analyse_trial(data, options);
    const auto second = analyse_trial(data, options);
    REQUIRE(first);
    double sum = 0.0;
    for (std::size_t l = 0; l < first->lines.size(); ++l) {
        CHECK(first->lines[l].chance_best == second->lines[l].chance_best);
        sum += first->lines[l].chance_best.value_or(0.0);
    }
    CHECK(sum == Approx(3.0));
    CHECK_FALSE(first->lines[4].chance_best);
    options.best = 11;
    const auto all = analyse_trial(data, options);
    CHECK(noted(*all, "lines to choose from"));
}

TEST_CASE("a line variance of zero is told and leaves heritability at zero") {
    TrialData data = invented(6, 1, 4, 1.0);
    // Every line has the same four values, in another order.
    for (std::size_t i = 0; i < data.y.size(); ++i)
        data.y[i] = 30 + (data.line[i] + data.rep[i]) % 4;
    const auto analysis = analyse_trial(data);
    REQUIRE(analysis);
    CHECK(analysis->components[0].at_boundary);
    CHECK(*analysis->heritability.plain == 0.0);
    CHECK_FALSE(analysis->heritability.cullis);
    CHECK(noted(*analysis, "lines do not differ"));
}

TEST_CASE("incomplete blocks enter when they divide reps and an effect can be left out") {
    TrialData data = invented(12, 1, 3, 0.5);
    for (std::size_t i = 0; i < data.y.size(); ++i)
        data.block.push_back((data.line[i] * (1 + data.rep[i])) % 12 / 3);
    const auto analysis = analyse_trial(data);
    REQUIRE(analysis);
    CHECK(analysis->model.find("block within rep (random)") != std::string::npos);
    TrialOptions options;
    options.block = Effect::leave_out;
    options.rep = Effect::fixed;
    const auto plain = analyse_trial(data, options);
    CHECK(plain->model.find("block") == std::string::npos);
    CHECK(plain->model.find("rep (fixed)") != std::string::npos);
}

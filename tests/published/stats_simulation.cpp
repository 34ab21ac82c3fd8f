// Trials simulated from known components, with plots lost not at random: those read too wet all come from one
// site and reps that dried late, and wet seed there has more protein. Checked against the truth that was put
// in, not against another program.
#include <catch2/catch.hpp>

#include <thresh/stats/distributions.hpp>
#include <thresh/stats/random.hpp>
#include <thresh/stats/trial.hpp>

#include <cmath>

using namespace thresh::stats;

namespace {

constexpr int kLines = 30, kEnvironments = 3, kReps = 2, kTrials = 200;
constexpr double kLine = 1.2, kInteraction = 0.3, kRep = 0.08, kResidual = 0.25;

struct Simulated {
    TrialData data;
    std::vector<double> line; // true effects
};

Simulated simulate(std::uint64_t seed) {
    std::uint64_t next = 0;
    const auto normals = [&](int n, double variance) {
        std::vector<double> made(static_cast<std::size_t>(n));
        random_normals(seed, next++, made);
        for (double& value : made)
            value *= std::sqrt(variance);
        return made;
    };
    Simulated made;
    made.line = normals(kLines, kLine);
    const auto interaction = normals(kLines * kEnvironments, kInteraction);
    const auto rep = normals(kEnvironments * kReps, kRep);
    const auto residual = normals(kLines * kEnvironments * kReps, kResidual);
    made.data.lines = kLines;
    std::size_t plot = 0;
    for (int e = 0; e < kEnvironments; ++e)
        for (int r = 0; r < kReps; ++r)
            for (int line = 0; line < kLines; ++line, ++plot) {
                // Site 2 lies two points higher in protein, and two in five of its plots are flagged as wet.
                if (e == 2 && random_uniform(seed, 1000, plot) < 0.4)
                    continue;
                const double effects = made.line[static_cast<std::size_t>(line)] +
                                       interaction[static_cast<std::size_t>(e * kLines + line)] +
                                       rep[static_cast<std::size_t>(e * kReps + r)] + residual[plot];
                made.data.y.push_back(35.0 + (e == 2 ? 2.0 : 0.0) + effects);
                made.data.line.push_back(line);
                made.data.environment.push_back(e);
                made.data.rep.push_back(r);
            }
    return made;
}

struct Mean {
    double sum = 0, squares = 0;
    int n = 0;
    void add(double value) {
        sum += value;
        squares += value * value;
        ++n;
    }
    double mean() const { return sum / n; }
    double se() const { return std::sqrt((squares / n - mean() * mean()) / (n - 1)); }
};

} // namespace

TEST_CASE("components, intervals and comparisons hold when wet plots of one site are lost", "[simulation]") {
    Mean line, interaction, rep, residual;
    int covered = 0, intervals = 0, family_errors = 0;
    double plain_bias = 0, adjusted_bias = 0;
    for (std::uint64_t t = 1; t <= kTrials; ++t) {
        const Simulated made = simulate(t);
        TrialOptions options;
        options.checks = {0};
        const auto analysis = analyse_trial(made.data, options);
        REQUIRE(analysis);
        REQUIRE(analysis->components.size() == 4);
        line.add(analysis->components[0].variance);
        rep.add(analysis->components[1].variance);
        interaction.add(analysis->components[2].variance);
        residual.add(analysis->components[3].variance);
        const CheckComparison& check = analysis->checks.at(0);
        const double plain_t = t_quantile(0.975, check.df);
        bool missed = false;
        for (int other = 1; other < kLines; ++other) {
            const auto& difference = check.lines[static_cast<std::size_t>(other)];
            const double truth = made.line[static_cast<std::size_t>(other)] - made.line[0];
            covered += std::fabs(difference->difference - truth) <= plain_t * difference->se ? 1 : 0;
            ++intervals;
            missed = missed || truth < difference->low || truth > difference->high;
        }
        family_errors += missed ? 1 : 0;
        // Lines by how many plots of the high site they lost: the plain mean follows, the adjusted one does
        // not.
        std::vector<double> sum(kLines), n(kLines), high(kLines);
        for (std::size_t i = 0; i < made.data.y.size(); ++i) {
            const auto l = static_cast<std::size_t>(made.data.line[i]);
            sum[l] += made.data.y[i];
            n[l] += 1;
            high[l] += made.data.environment[i] == 2 ? 1 : 0;
        }
        for (std::size_t l = 0; l < kLines; ++l)
            if (high[l] == 0) {
                plain_bias += sum[l] / n[l] - (35.0 + 2.0 / 3.0 + made.line[l]);
                adjusted_bias += *analysis->lines[l].blue - (35.0 + 2.0 / 3.0 + made.line[l]);
            }
    }
    // Components that are never estimated below 0 are unbiased where 0 is far; all four within three standard
    // errors of the simulation.
    for (const auto& [estimate, truth] : {std::pair(&line, kLine), std::pair(&interaction, kInteraction),
                                          std::pair(&rep, kRep), std::pair(&residual, kResidual)}) {
        INFO(truth << " estimated as " << estimate->mean() << " +- " << estimate->se());
        CHECK(std::fabs(estimate->mean() - truth) < 3 * estimate->se());
    }
    const double coverage = static_cast<double>(covered) / intervals;
    INFO("coverage of 95 % intervals " << coverage << ", family errors " << family_errors << " of "
                                       << kTrials);
    CHECK(coverage > 0.93);
    CHECK(coverage < 0.97);
    CHECK(family_errors > 0.02 * kTrials);
    CHECK(family_errors < 0.08 * kTrials);
    CHECK(plain_bias < 5 * -std::fabs(adjusted_bias)); // the plain mean misleads, the adjusted one does not
}

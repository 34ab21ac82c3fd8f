// Average run lengths against published values and against simulation of the charts themselves. Published:
// NIST/SEMATECH e-Handbook 6.3.2 (Shewhart 370, CUSUM k 0.5 h 5 about 465) and, from memory, h 4 about 168
// and the designs of Lucas and Saccucci 1990 for run length 500.
#include <thresh/stats/control_chart.hpp>
#include <thresh/stats/random.hpp>
#include <thresh/stats/run_length.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace thresh::stats;

namespace {

// Mean number of points up to the first signal, over many charts in control.
template <typename Chart>
double simulated(const Chart& chart, std::uint64_t seed) {
    constexpr int kCharts = 5000;
    double total = 0;
    std::vector<double> z(6000);
    for (int i = 0; i < kCharts; ++i) {
        random_normals(seed, static_cast<std::uint64_t>(i), z);
        const std::vector<Signals> signals = chart(z);
        const auto first = std::find_if(signals.begin(), signals.end(), [](Signals s) { return s != 0; });
        total += static_cast<double>(std::min(first - signals.begin() + 1, std::ptrdiff_t(6000)));
    }
    return total / kCharts;
}

} // namespace

TEST_CASE("single points beyond 3 SD come once in 370.4 in control", "[simulation]") {
    CHECK(shewhart_run_length(3) == Approx(370.398).epsilon(1e-5));
    CHECK(shewhart_limit(370.398) == Approx(3).epsilon(1e-5));
    const double seen =
        simulated([](const auto& z) { return run_rules(z, 0, 1, bit(Signal::beyond_action)); }, 1);
    CHECK(seen == Approx(370.4).epsilon(0.05));
}

TEST_CASE("a CUSUM with k 0.5 signals once in 168 points for h 4 and in 465 for h 5", "[simulation]") {
    CHECK(cusum_run_length(0.5, 4) == Approx(168).epsilon(0.005));
    CHECK(cusum_run_length(0.5, 5) == Approx(465).epsilon(0.005));
    const auto chart = [](double h) {
        return [h](const auto& z) { return tabular_cusum(z, 0, 0.5, h).signals; };
    };
    CHECK(simulated(chart(4), 2) == Approx(168).epsilon(0.05));
    CHECK(simulated(chart(5), 3) == Approx(465).epsilon(0.05));
}

TEST_CASE("the decision interval of a CUSUM keeps its run length for every allowance", "[simulation]") {
    for (const double k : {0.25, 0.5, 1.0}) {
        const double h = cusum_decision(k, 300);
        CHECK(cusum_run_length(k, h) == Approx(300).epsilon(1e-6));
        const double seen = simulated([&](const auto& z) { return tabular_cusum(z, 0, k, h).signals; }, 4);
        CHECK(seen == Approx(300).epsilon(0.05));
    }
}

TEST_CASE("EWMA designs of run length 500 have it", "[simulation]") {
    CHECK(ewma_run_length(0.1, 2.814) == Approx(500).epsilon(0.01));
    CHECK(ewma_run_length(0.2, 2.962) == Approx(500).epsilon(0.01));
    CHECK(ewma_run_length(0.4, 3.054) == Approx(500).epsilon(0.01));
    CHECK(ewma_run_length(1.0, 3) == Approx(370.398).epsilon(1e-4));
    CHECK(ewma_width(0.2, 500) == Approx(2.962).epsilon(0.002));
    // The chart's limits open with time, which costs a few per cent.
    const double seen = simulated([](const auto& z) { return ewma_chart(z, 0, 1, 0.2, 2.962).signals; }, 5);
    CHECK(seen == Approx(500).epsilon(0.08));
}

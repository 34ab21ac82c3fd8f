// NIR against reference: a worked example by hand and a certified line.
#include <thresh/stats/agreement.hpp>
#include <thresh/stats/summary.hpp>

#include <catch2/catch.hpp>

using namespace thresh::stats;

TEST_CASE("worked example with twenty invented protein pairs") {
    // Invented data; expected values by hand in R 4.2.2 from the formulas of ISO 12099:2017 clause 7.
    const std::vector<double> reference{32.10, 33.45, 34.20, 34.85, 35.10, 35.60, 36.05, 36.40, 36.75, 37.10,
                                        37.35, 37.80, 38.15, 38.60, 39.05, 39.40, 40.10, 40.85, 41.60, 42.75};
    const std::vector<double> nir{32.62, 33.60, 34.71, 34.90, 35.55, 35.72, 36.60, 36.35, 37.15, 37.05,
                                  37.80, 37.75, 38.42, 38.95, 38.90, 39.71, 40.05, 41.10, 41.35, 42.40};
    AgreementOptions options;
    options.calibration = CalibrationError{0.28, 120, 9};
    const auto result = agreement(nir, reference, options);
    REQUIRE(result);
    CHECK(result->reference_mean == Approx(37.3625).margin(5e-7));
    CHECK(result->nir_mean == Approx(37.534).margin(5e-7));
    CHECK(result->reference_sd == Approx(2.777867).margin(1e-6));
    CHECK(result->nir_sd == Approx(2.627930).margin(1e-6));
    CHECK(result->bias == Approx(0.1715).margin(5e-7));
    CHECK(result->sep == Approx(0.273443).margin(1e-6));
    CHECK(result->rmsep == Approx(0.316931).margin(1e-6));
    CHECK(result->mean_absolute == Approx(0.2665).margin(1e-6));
    CHECK(result->bias_limit == Approx(0.127975).margin(1e-6));
    CHECK(result->bias_p == Approx(0.011303).margin(1e-6));
    CHECK(result->line->slope == Approx(1.053270).margin(1e-6));
    CHECK(result->line->intercept == Approx(-2.170918).margin(1e-6));
    CHECK(result->line->residual_sd == Approx(0.241329).margin(1e-6));
    CHECK(result->slope_t == Approx(2.528479).margin(1e-6));
    CHECK(result->slope_t_limit == Approx(2.100922).margin(1e-6));
    CHECK(result->slope_p == Approx(0.021024).margin(1e-6));
    CHECK(result->line->r2 == Approx(0.992850).margin(1e-6));
    CHECK(*result->uecl == Approx(0.363124).margin(1e-6));
    CHECK(*result->rpd == Approx(10.158836).margin(1e-6));
    CHECK(*result->rer == Approx(38.947725).margin(1e-6));
    CHECK(result->rmsep_bias_corrected == Approx(0.266520).margin(1e-6));
    CHECK(*result->sep_line_corrected == Approx(0.234893).margin(1e-6));
    CHECK(result->advice == Advice::slope_and_bias);
    CHECK_FALSE(result->caution);
    const auto reverse = fit_line(reference, nir);
    CHECK(reverse->slope == Approx(0.942636).margin(1e-6));
    CHECK(reverse->intercept == Approx(2.314759).margin(1e-6));
}

TEST_CASE("NIST StRD NoInt1 through the origin") {
    // NIST StRD linear regression NoInt1 (data from memory of its description: x 60 to 70, y 130 to 140).
    std::vector<double> x;
    std::vector<double> y;
    for (int i = 0; i <= 10; ++i) {
        x.push_back(60 + i);
        y.push_back(130 + i);
    }
    CHECK(fit_through_origin(x, y)->slope == Approx(2.07438016528926).epsilon(1e-13));
    CHECK(fit_through_origin(x, y)->slope_se == Approx(2.0 / 121.0).epsilon(1e-10));
}

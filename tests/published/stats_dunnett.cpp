// Comparisons with a control against published examples and tables.
#include <thresh/stats/distributions.hpp>

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace thresh::stats;

TEST_CASE("Dunnett on the recovery data") {
    // Data set `recovery` of R package multcomp (Westfall et al. 1999); p-values and quantiles by
    // two-dimensional quadrature to 1e-10, with which multcomp agrees within its sampling error.
    const std::vector<double> t{-1.330185109, -4.655647883, -1.883722869};
    const std::vector<double> loadings{dunnett_loading(3, 20), dunnett_loading(3, 20),
                                       dunnett_loading(15, 20)};
    const auto one_sided = dunnett_p(t, loadings, 37, Side::less);
    CHECK(one_sided[0] == Approx(0.2411791087).epsilon(1e-8));
    CHECK(one_sided[1] == Approx(6.078666e-05).epsilon(1e-6));
    CHECK(one_sided[2] == Approx(0.09243856391).epsilon(1e-8));
    const auto two_sided = dunnett_p(t, loadings, 37);
    CHECK(two_sided[0] == Approx(0.4559165489).epsilon(1e-8));
    CHECK(two_sided[1] == Approx(0.000121568677).epsilon(1e-7));
    CHECK(two_sided[2] == Approx(0.1819795434).epsilon(1e-8));
    CHECK(dunnett_critical(0.05, loadings, 37, Side::less) == Approx(2.182683597).epsilon(1e-9));
    CHECK(dunnett_critical(0.05, loadings, 37) == Approx(2.488589107).epsilon(1e-9));
}

TEST_CASE("Dunnett on the PlantGrowth data") {
    // Data set PlantGrowth of R (Dobson 1983), 10 plants in each of three groups.
    const std::vector<double> t{-1.330790801, 1.771996377};
    const std::vector<double> loadings(2, dunnett_loading(10, 10));
    const auto p = dunnett_p(t, loadings, 27);
    CHECK(p[0] == Approx(0.3226956858).epsilon(1e-8));
    CHECK(p[1] == Approx(0.1534858615).epsilon(1e-8));
    CHECK(dunnett_critical(0.05, loadings, 27) == Approx(2.333411547).epsilon(1e-9));
}

TEST_CASE("Dunnett's two-sided 5 % table for equal numbers") {
    // Dunnett 1964 prints two decimals; the digits beyond are by quadrature.
    struct Row {
        double df;
        std::array<double, 6> critical;
    };
    const std::array<Row, 3> rows{{{10, {2.22814, 2.56834, 2.75900, 2.89048, 2.99029, 3.07043}},
                                   {20, {2.08596, 2.37869, 2.54035, 2.65103, 2.73468, 2.80164}},
                                   {60, {2.00030, 2.26527, 2.40994, 2.50839, 2.58250, 2.64165}}}};
    for (const Row& row : rows)
        for (std::size_t k = 0; k < row.critical.size(); ++k) {
            const std::vector<double> loadings(k + 1, std::sqrt(0.5));
            CHECK(dunnett_critical(0.05, loadings, row.df) == Approx(row.critical[k]).margin(6e-6));
        }
}

TEST_CASE("a single comparison is Student's t, known variance the normal") {
    // Identities.
    const std::vector<double> t{2.3};
    const std::vector<double> loading{0.6};
    CHECK(dunnett_p(t, loading, 12.5)[0] == Approx(t_two_sided_p(2.3, 12.5)).epsilon(1e-10));
    CHECK(dunnett_p(t, loading, std::numeric_limits<double>::infinity())[0] ==
          Approx(2.0 * normal_upper(2.3)).epsilon(1e-10));
    CHECK(dunnett_p(std::vector<double>{-2.3}, loading, 12.5, Side::greater)[0] ==
          Approx(t_cdf(2.3, 12.5)).epsilon(1e-9));
}

TEST_CASE("independent comparisons multiply, however small the probability") {
    // Loading 0 and known variance: 1 - (1 - p)^k, an identity.
    const std::vector<double> t(4, 9.0);
    const std::vector<double> loadings(4, 0.0);
    const double alone = 2.0 * normal_upper(9.0);
    CHECK(dunnett_p(t, loadings, std::numeric_limits<double>::infinity())[0] ==
          Approx(4.0 * alone).epsilon(1e-9));
}

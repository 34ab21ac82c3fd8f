// Moisture-basis arithmetic against published tables and an independent mass balance.
#include <catch2/catch.hpp>

#include <thresh/basis/convert.hpp>

using namespace thresh::basis;

TEST_CASE("published: natto soybean on dry and 13 % basis") {
    // Canadian Grain Commission, natto soybean quality report 2018, table 4: the same means
    // of 2018 and 2017 printed on dry and on 13 % basis, one decimal.
    CHECK(convert(38.9, 0, 13) == Approx(33.8).margin(0.05));
    CHECK(convert(39.5, 0, 13) == Approx(34.4).margin(0.05));
    CHECK(convert(21.7, 0, 13) == Approx(18.9).margin(0.05));
    CHECK(convert(19.6, 0, 13) == Approx(17.1).margin(0.05));
}

TEST_CASE("published: dry-basis moisture of 13 % wet basis") {
    // Documentation of the wet/dry basis functions of R packages for drying: M_db = 100 M_wb / (100 - M_wb).
    CHECK(dry_basis_moisture(13) == Approx(14.942529).margin(1e-6));
    CHECK(wet_basis_moisture(14.942528735632184) == Approx(13).margin(1e-12));
}

TEST_CASE("published: soybean and peanut of the USDA food composition data on other bases") {
    // Inputs: USDA food composition data, mature soybean (water 8.54, protein 36.49) and peanut
    // (6.50, 25.80). Results: mass balance of dry matter, computed independently.
    CHECK(convert(36.49, 8.54, 0) == Approx(39.897223).margin(1e-6));
    CHECK(convert(36.49, 8.54, 13) == Approx(34.710584).margin(1e-6));
    CHECK(convert(25.80, 6.50, 0) == Approx(27.593583).margin(1e-6));
    CHECK(convert(25.80, 6.50, 7) == Approx(25.662032).margin(1e-6));
}

TEST_CASE("published: the customary bases of other crops") {
    // Mass balance of dry matter, computed independently; bases: wheat protein 12 % (USDA), canola 8.5 %
    // (CGC).
    CHECK(convert(20.35, 6.2, 13) == Approx(18.874733).margin(1e-6));
    CHECK(convert(13.8, 10.4, 12) == Approx(13.553571).margin(1e-6));
    CHECK(convert(46.9, 5.1, 8.5) == Approx(45.219705).margin(1e-6));
    CHECK(convert(34.7, 13, 6.5) == Approx(37.292529).margin(1e-6));
}

TEST_CASE("published: maize oil of an extension leaflet on four bases") {
    // Iowa State University Extension PM 1625: 6.0 % at 20 % moisture = 6.4 at 15 %, 6.5 at 13 %, 7.5 dry.
    CHECK(convert(6.0, 20, 15) == Approx(6.4).margin(0.05));
    CHECK(convert(6.0, 20, 13) == Approx(6.5).margin(0.05));
    CHECK(convert(6.0, 20, 0) == Approx(7.5).margin(1e-12));
}

TEST_CASE("published: water to be driven out and yield at standard moisture") {
    // Conservation of dry matter, computed independently.
    CHECK(100 - mass_at(100, 13, 6.5) == Approx(6.951872).margin(1e-6));
    CHECK(500 - mass_at(500, 9.4, 6.5) == Approx(15.508021).margin(1e-6));
    CHECK(mass_at(3.25, 9.4, 13) == Approx(3.384483).margin(1e-6));
}

TEST_CASE("published: proximates of soybean and peanut close to 100") {
    // USDA food composition data: water, protein, fat, ash, carbohydrate by difference. On dry basis the four
    // without water must close to 100 again.
    CHECK(8.54 + 36.49 + 19.94 + 4.87 + 30.16 == Approx(100).margin(0.005));
    CHECK(6.50 + 25.80 + 49.24 + 2.33 + 16.13 == Approx(100).margin(0.005));
    CHECK(convert(36.49, 8.54, 0) + convert(19.94, 8.54, 0) + convert(4.87, 8.54, 0) +
              convert(30.16, 8.54, 0) ==
          Approx(100).margin(0.006));
    CHECK(convert(25.80, 6.5, 0) + convert(49.24, 6.5, 0) + convert(2.33, 6.5, 0) + convert(16.13, 6.5, 0) ==
          Approx(100).margin(0.006));
}

TEST_CASE("published: crude protein of one nitrogen content under two factors") {
    // Food composition factor tables: soybean 5.71, general 6.25. Nitrogen 6.39 %.
    CHECK(protein_with_factor(6.39 * 6.25, 6.25, 5.71) == Approx(36.4869).margin(1e-6));
    CHECK(protein_with_factor(6.39 * 5.71, 5.71, 6.25) == Approx(39.9375).margin(1e-6));
    CHECK(protein_with_factor(100, 6.25, 5.46) == Approx(87.36).margin(1e-9)); // peanut
}

TEST_CASE("published: uncertainty of a converted protein by the GUM") {
    // JCGM 100 (GUM), first order with correlation; worked by hand for x 36.49, M 8.54, T 13.
    CHECK(converted_uncertainty(36.49, 8.54, 13, 0.30, 0.20, 0, 0) == Approx(0.2952926).margin(1e-6));
    CHECK(converted_uncertainty(36.49, 8.54, 13, 0.30, 0.20, 0, -0.5) == Approx(0.2560022).margin(1e-6));
    // From dry to as is at 7.3 %: y = x (100 - M) / 100, so the derivative to M is -x / 100.
    CHECK(converted_uncertainty(36.5, 0, 7.3, 0.20, 0, 0.10, 0) == Approx(0.1889588).margin(1e-6));
    CHECK(converted_uncertainty(36.5, 0, 7.3, 0.20, 0, 0.10, -0.5) == Approx(0.2060886).margin(1e-6));
}

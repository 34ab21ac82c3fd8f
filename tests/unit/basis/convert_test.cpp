#include <catch2/catch.hpp>

#include <cmath>
#include <thresh/basis/convert.hpp>

using namespace thresh;
using namespace thresh::basis;

TEST_CASE("moisture has an answer from 0 to below 100 only") {
    CHECK(valid_moisture(0));
    CHECK(valid_moisture(99.999));
    CHECK_FALSE(valid_moisture(100));
    CHECK_FALSE(valid_moisture(-0.001));
    CHECK_FALSE(valid_moisture(std::nan("")));
}

TEST_CASE("a value restated at its own moisture is untouched") {
    CHECK(convert(36.49, 8.54, 8.54) == 36.49);
    CHECK(restate(36.49, Basis::at(13), Basis::at(13), std::nullopt) == 36.49);
    CHECK(restate(36.49, Basis::as_is(), Basis::as_is(), std::nullopt) == 36.49);
}

TEST_CASE("a value goes to another basis and back") {
    for (double from = 0; from < 40; from += 3.7)
        for (double to = 0; to < 40; to += 2.9)
            CHECK(convert(convert(38.2, from, to), to, from) == Approx(38.2).epsilon(1e-14));
}

TEST_CASE("the moisture of the reading is needed exactly when one side is as-is") {
    CHECK(restate(40, Basis::dry(), Basis::at(13), std::nullopt) == 40 * (87.0 / 100));
    CHECK_FALSE(restate(40, Basis::as_is(), Basis::at(13), std::nullopt));
    CHECK_FALSE(restate(40, Basis::dry(), Basis::as_is(), std::nullopt));
    CHECK(restate(40, Basis::as_is(), Basis::dry(), 20) == 40 * (100.0 / 80));
    CHECK(restate(40, Basis::dry(), Basis::as_is(), 20) == 40 * (80.0 / 100));
}

TEST_CASE("a basis that nobody stated counts as as-is") {
    CHECK(restate(40, Basis{}, Basis::dry(), 20) == 50.0);
    CHECK(restate(40, Basis{}, Basis::as_is(), std::nullopt) == 40.0);
}

TEST_CASE("a moisture outside the domain gives no value instead of a wild one") {
    CHECK_FALSE(restate(40, Basis::as_is(), Basis::dry(), 100));
    CHECK_FALSE(restate(40, Basis::as_is(), Basis::dry(), -1));
    CHECK_FALSE(restate(40, Basis::dry(), Basis::as_is(), 100));
}

TEST_CASE("a mass changes by the inverse of a concentration's factor") {
    CHECK(mass_at(100, 13, 6.5) == Approx(93.048128).epsilon(1e-8));
    CHECK(mass_at(100, 10, 10) == 100);
    // What is in the seed does not change: concentration times mass.
    CHECK(convert(35, 9.4, 13) * mass_at(500, 9.4, 13) == Approx(35.0 * 500).epsilon(1e-14));
}

TEST_CASE("the uncertainty of a conversion is that of small changes in value and moisture") {
    const double h = 1e-6, value = 36.49, moisture = 8.54;
    const double by_value = (convert(value + h, moisture, 13) - convert(value - h, moisture, 13)) / (2 * h);
    const double by_moisture =
        (convert(value, moisture + h, 13) - convert(value, moisture - h, 13)) / (2 * h);
    for (const double r : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
        const double a = by_value * 0.30, b = by_moisture * 0.20;
        CHECK(converted_uncertainty(value, moisture, 13, 0.30, 0.20, 0, r) ==
              Approx(std::sqrt(a * a + b * b + 2 * r * a * b)).epsilon(1e-7));
    }
    const double to_it = (convert(value, 13, moisture + h) - convert(value, 13, moisture - h)) / (2 * h);
    for (const double r : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
        const double a = convert(1, 13, moisture) * 0.30, b = to_it * 0.20;
        CHECK(converted_uncertainty(value, 13, moisture, 0.30, 0, 0.20, r) ==
              Approx(std::sqrt(a * a + b * b + 2 * r * a * b)).epsilon(1e-7));
    }
    CHECK(converted_uncertainty(value, moisture, 13, 0.30, 0, 0, 0) == Approx(0.30 * 87 / (100 - 8.54)));
    CHECK(converted_uncertainty(0, moisture, 13, 0, 0.2, 0, 0) == 0);
}

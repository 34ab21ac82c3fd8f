// Check characters against published examples.
#include "rules/check_character.hpp"

#include <catch2/catch.hpp>

#include <string>

using thresh::rules::check_character;
using thresh::rules::check_character_fits;

TEST_CASE("check characters of published examples") {
    // ISO 7064 MOD 37,36: an example widely given with the standard.
    CHECK(check_character("mod37_36", "A12425GABC1234002") == 'M');
    CHECK(check_character("mod37_36", "RABD") == 'A');
    CHECK(check_character("mod37_36", "X0H") == 'X');
    CHECK(check_character("mod37_36", "9") == 'J');
    // Luhn: the customary example number (from memory).
    CHECK(check_character("luhn", "7992739871") == '3');
    // Damm: the example of the algorithm's author, 572 (from memory).
    CHECK(check_character("damm", "572") == '4');
    // Verhoeff: examples of descriptions of the algorithm.
    CHECK(check_character("verhoeff", "236") == '3');
    CHECK(check_character("verhoeff", "7728635820") == '7');
    CHECK(check_character("verhoeff", "12345") == '1');
}

TEST_CASE("what each scheme promises to find is found") {
    // Damm, Verhoeff and MOD 37,36 find every single wrong character; the first two every swap of neighbours,
    // Luhn all but 09 and 90. Tried on many numbers.
    for (const std::string scheme : {"mod37_36", "luhn", "damm", "verhoeff"})
        for (unsigned n = 100; n < 3000; n += 7) {
            const std::string body = std::to_string(n * 37 % 100000);
            const std::string id = body + *check_character(scheme, body);
            REQUIRE(check_character_fits(scheme, id));
            for (std::size_t i = 0; i < body.size(); ++i) {
                std::string wrong = id;
                wrong[i] = wrong[i] == '9' ? '0' : static_cast<char>(wrong[i] + 1);
                CHECK_FALSE(check_character_fits(scheme, wrong));
            }
            for (std::size_t i = 0; i + 1 < body.size(); ++i) {
                std::string swapped = id;
                std::swap(swapped[i], swapped[i + 1]);
                const bool blind =
                    scheme == "luhn" && (body.substr(i, 2) == "09" || body.substr(i, 2) == "90");
                if (swapped != id && !blind && scheme != "mod37_36")
                    CHECK_FALSE(check_character_fits(scheme, swapped));
            }
        }
}

TEST_CASE("hyphens and small letters do not count") {
    CHECK(check_character_fits("mod37_36", "a12425-gabc-1234002-m"));
    CHECK(check_character_fits("verhoeff", "PK-236/3"));
    CHECK_FALSE(check_character_fits("verhoeff", "PK"));
    CHECK_FALSE(check_character("luhn", "").has_value());
    CHECK_FALSE(check_character("other", "123").has_value());
}

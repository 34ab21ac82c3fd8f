#include "batch/no_id.hpp"

#include <catch2/catch.hpp>
#include <string>

using namespace thresh::batch;

TEST_CASE("no text that stands for a missing ID begins like those that need not be asked") {
    for (const std::string text : {"#N/A", "#REF!", "#NAME?", "#NV", "-", "--", "?", ".", "/", "\u2013",
                                   "\u2212", "NA", "n/a", "N.A.", "NaN", "null", "nil", "Missing", "none"}) {
        CAPTURE(text);
        CHECK((is_no_id(text) || says_missing(text)));
        CHECK_FALSE(always_begins_an_id(text.front()));
    }
    for (const std::string text : {"A1", "z", "0", "9-1", "N1", "m", "#12", "\u0412-1"})
        CHECK_FALSE((is_no_id(text) || says_missing(text)));
    for (int c = 1; c < 128; ++c) // nor does a lone mark
        if (is_no_id(std::string(1, static_cast<char>(c))))
            CHECK_FALSE(always_begins_an_id(static_cast<char>(c)));
}

#include "unit/intake/reading_help.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;

TEST_CASE("the record of a finding can be shown again with the place of its cell") {
    const std::string text = "Sample;Operator;Protein\n\xC3\xA4;J\xC3\xBCrgen;38\n\"b\nc\";x;\"37\"\n";
    const intake::Input in = input(text);
    const Readings r = intake::read_exports({in}, table(), {});
    auto found = intake::record_text(in, r.files[0], 2, 2);
    CHECK(found.line == "\xC3\xA4;J\xC3\xBCrgen;38");
    CHECK(found.line_number == 2);
    CHECK(found.column == 10);
    CHECK(found.width == 2);
    found = intake::record_text(in, r.files[0], 3, 2);
    CHECK(found.line == "c\";x;\"37\"");
    CHECK(found.line_number == 4);
    CHECK(found.column == 6);
    CHECK(intake::record_text(in, r.files[0], 2, std::nullopt).column == 0);
    CHECK(intake::record_text(in, r.files[0], 99, std::nullopt).line.empty());
}

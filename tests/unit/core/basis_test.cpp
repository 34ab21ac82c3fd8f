#include <thresh/core/basis.hpp>

#include <catch2/catch.hpp>

using namespace thresh;

TEST_CASE("a basis reads back from its own spelling") {
    for (const Basis basis : {Basis::as_is(), Basis::dry(), Basis::at(13), Basis::at(8.5), Basis::at(99.9)})
        CHECK(parse_basis(to_text(basis)).value() == basis);
}

TEST_CASE("a basis may be written in any case and with a percent sign") {
    CHECK(parse_basis("As-Is").value() == Basis::as_is());
    CHECK(parse_basis("DRY").value() == Basis::dry());
    CHECK(parse_basis("0").value() == Basis::dry());
    CHECK(parse_basis("13%").value() == Basis::at(13));
    CHECK(parse_basis("13 %").value() == Basis::at(13));
}

TEST_CASE("a basis that leaves no dry matter or is no plain number is refused with the way out") {
    for (const char* text : {"100", "250", "-1", "", "%", "wet", "nan", "inf", "1e1", "+13", "8,5", "1.2.3",
                             "13.", ".5", " 13", "as is", "drying"}) {
        INFO(text);
        const auto basis = parse_basis(text);
        REQUIRE_FALSE(basis.has_value());
        CHECK(basis.error().help.find("`13`") != std::string::npos);
    }
    CHECK(parse_basis("100").error().message.find("dry matter") != std::string::npos);
}

#include <thresh/rules/formula.hpp>

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

using namespace thresh;
using rules::Formula;
using rules::FormulaValue;

namespace {
const ConstituentTable& table() {
    static const ConstituentTable known;
    return known;
}
double value(const std::string& text, std::vector<double> inputs) {
    const auto formula = Formula::compile(text, table(), Formula::Traits::refused);
    INFO(text);
    REQUIRE(formula);
    REQUIRE(formula->inputs().size() == inputs.size());
    FormulaValue compute(*formula);
    return compute(inputs);
}
// "COLUMN message | help"
std::string refusal(const std::string& text) {
    const auto formula = Formula::compile(text, table(), Formula::Traits::refused);
    INFO(text);
    REQUIRE_FALSE(formula);
    return std::to_string(formula.error().column) + " " + formula.error().message + " | " +
           formula.error().help;
}
} // namespace

TEST_CASE("formulas compute over constituents in table order") {
    CHECK(value("oil * 0.95", {20}) == 19);
    CHECK(value("(protein + oil) / 2", {40, 20}) == 30);
    CHECK(value("oil + protein", {40, 20}) == 60); // inputs come as protein, oil
    CHECK(value("oleic + linoleic < 60", {20, 39.9}) == 1);
    CHECK(value("oleic + linoleic < 60 && linolenic >= 3", {20, 39, 2.9}) == 0);
    CHECK(value("max(oil, protein)", {40, 20}) == 40);
    CHECK(value("protein > 40 ? 1 : 2", {41}) == 1);
}

TEST_CASE("a missing input and a division by zero give a missing result, never 0") {
    const double missing = std::numeric_limits<double>::quiet_NaN();
    CHECK(std::isnan(value("oil * 0", {missing})));
    CHECK(std::isnan(value("oil < 5", {missing})));
    CHECK(std::isnan(value("protein / oil", {40, 0})));
}

TEST_CASE("what is no formula is refused with its place and the way out") {
    CHECK(refusal("oil = 5") == "5 a formula assigns nothing | `==` compares; leave the `=` out otherwise");
    CHECK(refusal("oil * 0,95").starts_with("8 a comma separates nothing here"));
    CHECK(refusal("oil * protien") == "7 `protien` is no constituent | did you mean `protein`?");
    CHECK(refusal("  ").find("empty") != std::string::npos);
    CHECK(refusal("1 + 2").find("no constituent") != std::string::npos);
    CHECK(refusal("(oil + protein").find("not a formula") != std::string::npos);
    CHECK(refusal("oil +").find("not a formula") != std::string::npos);
    CHECK(refusal(std::string(200000, '(') + "oil").find("not a formula") != std::string::npos);
}

TEST_CASE("a formula can be computed side by side and again") {
    const auto formula = Formula::compile("protein - oil", table(), Formula::Traits::refused);
    FormulaValue one(*formula), two(*formula);
    const double a[] = {40, 20}, b[] = {30, 25};
    CHECK(one(a) == 20);
    CHECK(two(b) == 5);
    CHECK(one(b) == 5);
}

TEST_CASE("a comparison of a comparison is refused, and a number where a condition belongs") {
    for (const char* text : {"1 < oil < 3", "max(1 < oil < 3, 0)", "oil == protein == ash"})
        CHECK(refusal(text).find("a comparison is compared again") != std::string::npos);
    CHECK(refusal("1 < oil < 3").starts_with("9 "));
    CHECK(refusal("oil ? 1 : 2").starts_with("1 `oil` is a number and no condition"));
    const auto condition = [](const std::string& text) {
        return Formula::compile(text, table(), Formula::Traits::allowed);
    };
    for (const char* text : {"oil", "oil - protein", "(oil)", "oil > 18 && protein", "oil || protein > 3",
                             "(oil > 1 ? 1 : 2) > 1 && ash"}) {
        INFO(text);
        CHECK_FALSE(condition(text));
    }
    CHECK(condition("oil > 18 && protein").error().column == 13);
    for (const char* text :
         {"oil > 18 && (protein < 40 || ash >= 5)", "(oil > 1) + (protein > 2) >= 1",
          "oil > 3 ? protein > 30 : ash > 4", "max(oil > 1, protein > 3)", "(1 < oil) == (protein != 40)"}) {
        INFO(text);
        CHECK(condition(text));
    }
    CHECK(value("oil > 18 ? oil : protein", {20, 40}) == 40);
}

#include "unit/rules/rules_files.hpp"

#include <thresh/rules/options.hpp>

using namespace thresh;
using namespace thresh::rules;

namespace {

struct Case {
    const char* text;
    std::uint32_t line, column;
    const char* message; // part of it
    const char* help;    // part of it
};

} // namespace

TEST_CASE("a mistake in a rules file is told with place and way out") {
    const Case cases[] = {
        {"{\n  \"materails\": {}\n}", 2, 3, "unknown key `materails`", "did you mean `materials`?"},
        {"{ \"few_samples\": 2,\n  // again\n  \"few_samples\": 3 }", 3, 3,
         "given twice, first in line 1, column 3", "keep one"},
        {"{\"materials\": {\"a\": {\"expected\": {\"protien\": {\"low\": 1}}}}}", 1, 35,
         "unknown constituent `protien`", "`protein`"},
        {"{\"few_samples\": \"two\"}", 1, 17, "holds a text, but needs a whole number", "few_samples"},
        {"{\"few_samples\": 2.5}", 1, 17, "needs a whole number", ""},
        {"{\"few_samples\": -1}", 1, 17, "`few_samples` is -1", "at least 0"},
        {"{\"session_gap_hours\": 0}", 1, 23, "is 0", "above 0"},
        {"{\"severity\": {\"above-expcted\": \"note\"}}", 1, 15, "unknown finding code `above-expcted`",
         "`above-expected`"},
        {"{\"severity\": {\"above-expected\": \"warn\"}}", 1, 33, "unknown severity `warn`",
         "off, note, review"},
        {"{\"below_limit\": \"halv\"}", 1, 17, "unknown below_limit `halv`", "`half`"},
        {"{\"materials\": {\"a\": {\"basis\": 100}}}", 1, 31, "leaves no dry matter", "`13`"},
        {"{\"materials\": {\"a\": {\"basis\": \"wet\"}}}", 1, 31, "`wet` is not a moisture basis", "`dry`"},
        {"{\"materials\": {\"a\": {\"basis\": -2}}}", 1, 31, "not a moisture basis", ""},
        {"{\"materials\": {\"a\": {\"expected\": {\"oil\": {\"low\": 30,\n \"high\": 20}}}}}", 2, 10,
         "`low` 30 is above `high` 20", "exchange"},
        {"{\"materials\": {\"a\": {\"adjust\": {\"oil\": [{\"from\": \"2026-10-05T08:00\",\n \"to\": "
         "\"2026-10-04\"}]}}}}",
         2, 8, "`from` 2026-10-05T08:00 is after `to` 2026-10-04", "exchange"},
        {"{\"standard\": {\"when\": {\"from\": \"2026-10-05\", \"to\": \"2026-10-04\"}}}", 1, 52, "is after",
         "exchange"},
        {"{\"materials\": {\"a\": {\"moisture_window\": {\"low\": 9, \"high\": 8}}}}", 1, 60, "above `high`",
         ""},
        {"{\"materials\": {\"a\": {\"expected\": {\"oil\": {\"basis\": 13}}}}}", 1, 42, "no bound", "low"},
        {"{\"controls\": {\"C\": {\"material\": \"soybaen\"}}}", 1, 33, "unknown material `soybaen`",
         "`soybean`"},
        {"{\"materials\": {\"a\": {\"expected\": {\"moisture\": {\"low\": 6}}}}}", 1, 55,
         "`expected` does nothing for moisture", "moisture_window"},
        {"{\"materials\": {\"a\": {\"possible\": {\"moisture\": [{\"low\": 6, \"oil_type\": \"x\"}, "
         "{\"low\": 5}]}}}}",
         1, 56, "by oil type", "moisture_window"},
        {"{\"materials\": {\"a\": {\"like\": \"soybaen\"}}}", 1, 30, "unknown material `soybaen`",
         "`soybean`"},
        {"{\"materials\": {\"a\": {\"like\": \"b\"}, \"b\": {\"like\": \"a\"}}}", 1, 50, "in a circle",
         "`like`"},
        {"{\"materials\": {\"a\": {\"when\": {\"from\": \"August\"}}}}", 1, 39, "`August`", "2026-08-03"},
        {"{\"materials\": {\"a\": {\"expected\": {\"oil\": [{\"low\": 1}, {\"low\": 2}]}}}}", 1, 55,
         "two entries of `oil`", "oil_type"},
        {"{\"ignore\": {\"sample\": [\"a\",]}}", 1, 27, "comma stands before the closing bracket", "take"},
        {"{\"few_samples\": 2, /* last */ }", 1, 18, "comma stands before the closing bracket", "take"},
        {"{\"few_samples\" 2}", 1, 16, "not valid JSON", "one object"},
        {"", 1, 1, "not valid JSON", "one object"},
        {"[1]", 1, 1, "holds a list", "one object"},
        {"{\"few_samples\": 2", 1, 18, "not valid JSON", ""},
        {"{\"few_samples\": 1e999}", 1, 21, "not valid JSON", ""},
        {"{\"sample_id\": \"\xff\"}", 1, 16, "not valid JSON", ""},
        {"{\"sample_id\": \"{trial}-{lime}\"}", 1, 15, "unknown placeholder `lime`", "`line`"},
        {"{\"sample_id\": \"{trial}{line}\"}", 1, 15, "touch", "between"},
        {"{\"sample_id\": \"{line\"}", 1, 15, "not closed", ""},
        {"{\"sample_id\": \"{trial}-{rep}\"}", 1, 15, "where the line stands", "{line}"},
        {"{\"traits\": {\"Oil Yield\": {\"formula\": \"oil\"}}}", 1, 13, "cannot be a trait's name",
         "oil_yield"},
        {"{\"traits\": {\"oil\": {\"formula\": \"oil\"}}}", 1, 13, "built-in constituent", "another name"},
        {"{\"traits\": {\"yield\": {}}}", 1, 13, "no formula", "formula"},
        {"{\"controls\": {\"C\": {\"protein\": {\"sd\": 0.2}}}}", 1, 32, "no target for protein", "target"},
        {"{\"standard\": {\"review\": 2}}", 1, 25, "`review` 2 is above `exclude` 1.0", ""},
        {"{\"columns\": {\"protein\": {\"headings\": [1]}}}", 1, 39, "needs a text or a list of texts", ""},
        {"{\"columns\": {\"smaple\": {}}}", 1, 14, "unknown column `smaple`", "`sample`"},
        {"{\"materials\": {\"a\": {\"expected\": {\"protein_plus_oil\": {\"low\": 1}}}}}", 1, 63,
         "`expected` does nothing for `protein_plus_oil`, which is computed",
         "\"when\": \"protein_plus_oil > 60\""},
        {"{\"materials\": {\"soybean\": {\"expected\": {\"protein_plus_oil\": {\"high\": 60}}}}}", 1, 70,
         "`expected` does nothing", "checks"}, // over a built-in one
        {"{\"materials\": {\"a\": {\"possible\": {\"oleic_linoleic\": {\"low\": 1}}}}}", 1, 61,
         "does nothing", "`columns`"},
        {"{\"materials\": {\"a\": {\"sep\": {\"iodine_value\": 2}}}}", 1, 46, "`sep` does nothing", "checks"},
        {"{\"materials\": {\"a\": {\"adjust\": {\"saturates\": {\"slope\": 2}}}}}", 1, 56,
         "`adjust` does nothing", "checks"},
        {"{\"traits\": {\"t\": {\"formula\": \"oil\"}}, \"materials\": {\"a\": {\"calibrated\": "
         "{\"t\": {\"low\": 1}}}}}",
         1, 87, "`calibrated` does nothing for `t`", "checks"},
        {"{\"extends\": 3}", 1, 13, "`extends` holds a number", "built-in"},
    };
    for (const Case& one : cases) {
        INFO(one.text);
        const Error error = refusal(one.text);
        CHECK(error.file == "lab.json");
        CHECK(error.line == one.line);
        CHECK(error.column == one.column);
        CHECK_THAT(error.message, Catch::Contains(one.message));
        CHECK_THAT(error.help, Catch::Contains(one.help));
    }
}

TEST_CASE("columns count characters and lines end as files do") {
    const Error error = refusal("{\r\n  \"sample_id\": \"{line}\", /* \xc3\xa4\xc3\xb6 */ \"oops\": 1 }");
    CHECK(error.line == 2);
    CHECK(error.column == 35);
}

TEST_CASE("brackets without end are refused, not followed") {
    const Error error = refusal(std::string(100000, '['));
    CHECK_THAT(error.message, Catch::Contains("nested deeper"));
}

TEST_CASE("a circle of extends is told where it closes") {
    const Files files = {{"a.json", "{\"extends\": \"b.json\"}"},
                         {"b.json", "{\n \"extends\": [\"a.json\"] }"}};
    const auto rules = load_rules({"a.json"}, reader(files));
    REQUIRE_FALSE(rules);
    CHECK(rules.error().file == "b.json");
    CHECK(rules.error().line == 2);
    CHECK(rules.error().column == 14);
    CHECK_THAT(rules.error().message, Catch::Contains("a.json -> b.json -> a.json"));
}

TEST_CASE("a missing file is told at the entry that names it") {
    const auto extended = load_rules({"x/a.json"}, reader({{"x/a.json", "{ \"extends\": \"base.json\" }"}}));
    REQUIRE_FALSE(extended);
    CHECK(extended.error().file == "x/a.json");
    CHECK(extended.error().column == 14);
    CHECK_THAT(extended.error().message, Catch::Contains("x/base.json"));
    const auto given = load_rules({"none.json"}, reader({}));
    REQUIRE_FALSE(given);
    CHECK(given.error().file == "none.json");
}

TEST_CASE("a severity from the command line outranks and is checked") {
    Ruleset rules = built_in();
    REQUIRE(set_severity(rules, "above-expected=note"));
    CHECK(rules.severity_option.at("above-expected") == Severity::note);
    CHECK_THAT(set_severity(rules, "above-expected").error().help, Catch::Contains("CODE=LEVEL"));
    CHECK_THAT(set_severity(rules, "above-expectd=note").error().help, Catch::Contains("`above-expected`"));
    CHECK_THAT(set_severity(rules, "above-expected=loud").error().help, Catch::Contains("exclude"));
    CHECK_FALSE(set_severity(rules, "=note"));
}

TEST_CASE("a mistake in a formula is told at its place in the file") {
    const Error assignment = refusal("{\n  \"checks\": [{ \"name\": \"a\", \"when\": \"oil = 5\" }]\n}");
    CHECK(assignment.line == 2);
    CHECK(assignment.column == 42); // counted by hand: the `=`
    const Error unknown = refusal("{ \"traits\": { \"x\": { \"formula\": \"oill * 2\" } } }");
    CHECK(unknown.message == "`oill` is no constituent");
    CHECK(unknown.help == "did you mean `oil`?");
    CHECK(unknown.column == 34);
}

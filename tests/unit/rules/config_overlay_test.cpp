#include "unit/rules/rules_files.hpp"

#include <thresh/rules/rules_text.hpp>

#include <algorithm>

using namespace thresh;
using namespace thresh::rules;

namespace {

std::vector<std::string> tried(const Ruleset& rules) {
    std::vector<std::string> names;
    for (const batch::MaterialCase& one : rules.batch.materials)
        names.push_back(one.name);
    return names;
}

} // namespace

TEST_CASE("a file overlays a built-in material key by key") {
    const Ruleset rules = load(R"({ "materials": { "soybean-whole": {
        "basis": "dry",
        "expected": { "protein": { "high": 45 } } } } })");
    const Material& whole = material(rules, "soybean-whole");
    CHECK(whole.basis == Basis::dry());
    const Range& protein = whole.expected.at(constituent::protein)[0];
    CHECK(protein.low == 32.0);
    CHECK(protein.high == 45.0);
    CHECK(protein.basis == Basis::dry());
    CHECK(protein.origin.where == "lab.json");
    CHECK(protein.origin.line == 3);
    CHECK(protein.origin.source.empty()); // the source belonged to the limit that was replaced
    CHECK(rules.origins().at("materials.soybean-whole.expected.protein.low").where == "built-in");
    CHECK(rules.origins().at("materials.soybean-whole.expected.protein.high").line == 3);
    CHECK(whole.expected.at(constituent::oil)[0].origin.where == "built-in");
    CHECK(whole.window.low == 5.0);
    CHECK(rules.files == std::vector<std::string>{"built-in", "lab.json"});
}

TEST_CASE("a change to the plain material reaches whole and ground") {
    const Ruleset rules = load(R"({ "materials": { "soybean": { "moisture_window": { "high": 9 } } } })");
    CHECK(material(rules, "soybean-whole").window.high == 9.0);
    CHECK(material(rules, "soybean-ground").window.high == 9.0);
    CHECK(material(rules, "peanut").window.high == 8.0);
}

TEST_CASE("a range of a file joins the others by oil type") {
    const Ruleset rules = load(R"({ "materials": { "soybean": { "expected": {
        "oleic": { "low": 18, "high": 28, "oil_type": "normal", "severity": "note" } } } } })");
    const auto& oleic = material(rules, "soybean").expected.at(constituent::oleic);
    REQUIRE(oleic.size() == 4);
    CHECK(oleic[0].oil_type == "normal");
    CHECK(oleic[0].severity == Severity::note);
    CHECK(oleic[1].oil_type.empty());
    CHECK(oleic[1].low == 17.0);
}

TEST_CASE("a range of a file takes the place of one for the same oil type in other letters") {
    const Ruleset rules = load(R"({ "materials": { "soybean": { "expected": {
        "oleic": { "low": 71, "oil_type": "High-Oleic" } } } } })");
    const auto& oleic = material(rules, "soybean").expected.at(constituent::oleic);
    CHECK(std::ranges::count_if(
              oleic, [](const Range& range) { return batch::same_word(range.oil_type, "high-oleic"); }) == 1);
    CHECK(oleic[0].low == 71.0);
}

TEST_CASE("a computed value has limits only where the rules name a column that holds it") {
    const Ruleset built_in = load("{}");
    CHECK_FALSE(material(built_in, "soybean").expected.contains(constituent::protein_plus_oil));
    CHECK_FALSE(material(built_in, "soybean").possible.contains(constituent::protein_plus_oil));
    const Ruleset read = load(R"({ "columns": { "protein_plus_oil": { "headings": ["Prot + oil"] } },
        "materials": { "soybean": { "expected": { "protein_plus_oil": { "high": 67 } } } } })");
    const Range& both = material(read, "soybean").expected.at(constituent::protein_plus_oil)[0];
    CHECK(both.low == 55.0);
    CHECK(both.high == 67.0);
    CHECK(material(read, "soybean").possible.contains(constituent::protein_plus_oil));
    // Means and trials have them, so what these rest on may be given.
    const Ruleset precision = load(R"({ "materials": { "soybean": {
        "repeatability_sd": { "protein_plus_oil": 0.2 }, "plot_sd": { "protein_plus_oil": 0.5 } } } })");
    CHECK(material(precision, "soybean").plot_sd.at(constituent::protein_plus_oil) == 0.5);
}

TEST_CASE("materials of a file are tried first, in its order") {
    const Ruleset rules = load(R"({ "materials": {
        "sunflower": { "when": { "analysis": "*sun*" } },
        "peanut-whole": { "when": { "analysis": "PN-W*" } } } })");
    CHECK(tried(rules) == std::vector<std::string>{"sunflower", "peanut-whole", "soybean-whole",
                                                   "soybean-ground", "soybean", "peanut-ground", "peanut"});
    CHECK(rules.batch.material_names == tried(rules));
    CHECK(material(rules, "peanut-whole").window.high == 8.0);
    CHECK_FALSE(material(rules, "sunflower").window.high.has_value());
}

TEST_CASE("a file that changes only a limit does not put a wide pattern first") {
    const Ruleset rules = load(R"({ "materials": { "soybean": { "basis": "dry" } } })");
    CHECK(tried(rules) == tried(built_in()));
}

TEST_CASE("like lends everything but the pattern") {
    const Ruleset rules = load(R"({ "materials": {
        "soybean-b": { "like": "soybean-whole", "when": { "instrument": "B*" }, "sep": { "oil": 0.2 } } } })");
    const Material& b = material(rules, "soybean-b");
    CHECK(b.sep.at(constituent::oil) == 0.2);
    CHECK(b.sep.at(constituent::protein) == 0.5);
    CHECK(rules.batch.materials.front().when.instrument == std::vector<std::string>{"B*"});
    CHECK(rules.batch.materials.front().when.analysis.empty());
}

TEST_CASE("null takes an entry out") {
    const Ruleset rules =
        load(R"({ "materials": { "soybean": { "expected": { "protein": null }, "prefer": null },
        "peanut": null, "peanut-whole": null, "peanut-ground": null }, "standard": { "when": null } })");
    CHECK(rules.materials.size() == 3);
    CHECK_FALSE(material(rules, "soybean-whole").expected.contains(constituent::protein));
    CHECK_FALSE(material(rules, "soybean").prefer.has_value());
    CHECK(rules.batch.standard.analysis.empty());
    CHECK(rules.standard.target == 1143.6);
}

TEST_CASE("extends empty starts from nothing") {
    const Ruleset rules = load(R"({ "extends": [], "few_samples": 3 })");
    CHECK(rules.materials.empty());
    CHECK(rules.dark_coats.empty());
    CHECK(rules.batch.standard.analysis.empty());
    CHECK(rules.few_samples == 3);
    CHECK(rules.files == std::vector<std::string>{"lab.json"});
}

TEST_CASE("files extend files beside them, each once, base first") {
    const Files files = {
        {"lab/thresh.json", R"({ "extends": ["common.json", "../site.json"], "few_samples": 5 })"},
        {"lab/common.json", R"({ "few_samples": 3, "session_gap_hours": 6 })"},
        {"site.json", R"({ "extends": "lab/common.json", "few_samples": 4, "nitrogen_factor": 5.71 })"}};
    const Ruleset rules = load_rules({"lab/thresh.json"}, reader(files)).value();
    CHECK(rules.files ==
          std::vector<std::string>{"built-in", "lab/common.json", "site.json", "lab/thresh.json"});
    CHECK(rules.few_samples == 5);
    CHECK(rules.batch.session_gap_hours == 6);
    CHECK(rules.nitrogen_factor == 5.71);
    CHECK(rules.origins().at("session_gap_hours").where == "lab/common.json");
}

TEST_CASE("several given files overlay each other in order") {
    const Files files = {{"a.json", R"({ "few_samples": 3, "below_limit": "half" })"},
                         {"b.json", R"({ "few_samples": 4 })"}};
    const Ruleset rules = load_rules({"a.json", "b.json"}, reader(files)).value();
    CHECK(rules.few_samples == 4);
    CHECK(rules.below_limit == BelowLimit::half);
}

TEST_CASE("all sections of a file arrive") {
    const Ruleset rules = load(R"({
        "sample_id": "{trial}-{line}-{rep}", "check_characters": "mod37_36",
        "columns": { "protein": { "headings": "Prot NIR", "part_of": "sample", "basis": "as-is" },
                     "sample": { "headings": ["Bag"] }, "time": { "headings": ["When"] }, "ignore": ["Remark*"] },
        "materials": { "soybean-whole": {
            "calibrated": { "protein": { "low": 28, "high": 50 }, "distance": 3 },
            "adjust": { "protein": { "intercept": -0.2, "basis": 13, "from": "2026-08-01" } },
            "sums": { "fatty_acids": { "high": 105 } } } },
        "controls": { "CTRL-A": [ { "instrument": "N1", "protein": { "target": 40.1, "sd": 0.2, "basis": "dry" } },
                                  { "instrument": "N2" } ] },
        "ignore": { "sample": ["test*"] },
        "traits": { "oil_yield": { "formula": "oil * 0.95", "unit": "kg" } },
        "checks": [ { "name": "low", "when": "oil_yield < 3", "message": "m", "severity": "note" } ],
        "severity": { "above-expected": "note" },
        "charts": { "western_electric": true, "cusum_h": 4 }, "tests": { "flood_percent": 30 },
        "trials": { "environment": "random" } })");
    CHECK(rules.batch.sample_id == "{trial}-{line}-{rep}");
    CHECK(rules.check_characters == "mod37_36");
    REQUIRE(rules.columns.size() == 3);
    CHECK(rules.columns[0].constituent == constituent::protein);
    CHECK(rules.columns[0].basis == Basis::as_is());
    CHECK(rules.columns[1].field == TextField::sample);
    CHECK(rules.columns[2].time);
    CHECK(rules.ignored_headings == std::vector<std::string>{"Remark*"});
    const Material& whole = material(rules, "soybean-whole");
    CHECK(whole.calibrated_distance == 3.0);
    CHECK(whole.calibrated.at(constituent::protein)[0].basis == Basis::as_is());
    CHECK(whole.adjust.at(constituent::protein)[0].intercept == -0.2);
    CHECK(whole.sums.fatty_acids.high == 105.0);
    CHECK(whole.sums.fatty_acids.low == 94.0);
    REQUIRE(rules.controls.size() == 2);
    CHECK(rules.controls[0].targets.at(constituent::protein).sd == 0.2);
    CHECK(rules.controls[1].instrument == "N2");
    CHECK(rules.batch.controls == std::vector<std::string>{"CTRL-A"});
    CHECK(rules.batch.ignore.sample == std::vector<std::string>{"test*"});
    REQUIRE(rules.traits.size() == 1);
    CHECK(rules.constituents[rules.traits[0].id].unit == "kg");
    CHECK(rules.checks.at(0).severity == Severity::note);
    CHECK(rules.severity.at("above-expected") == Severity::note);
    CHECK(rules.charts.western_electric);
    CHECK(rules.charts.cusum_h == 4);
    CHECK(rules.tests.flood_percent == 30);
    CHECK(rules.trials.environment == "random");

    const std::string shown = show_rules(rules);
    CHECK_THAT(shown, Catch::Contains("\"oil_yield\"") && Catch::Contains("// lab.json:3:"));
    const Ruleset again = load(shown);
    CHECK(again.controls.size() == 2);
    CHECK(again.traits.at(0).formula == "oil * 0.95");
    CHECK(again.checks.at(0).when == "oil_yield < 3");
    CHECK(again.columns.size() == 3);
    CHECK(again.ignored_headings == rules.ignored_headings);
    CHECK(again.materials.size() == rules.materials.size());
    CHECK(again.charts.cusum_h == 4);
    CHECK(material(again, "soybean-whole").adjust.at(constituent::protein)[0].basis == Basis::at(13));
}

#include "unit/rules/rules_files.hpp"

#include <thresh/rules/rules_text.hpp>

using namespace thresh;
using namespace thresh::rules;

TEST_CASE("the built-in rules read without a file") {
    const auto rules = load_rules({}, reader({}));
    if (!rules)
        FAIL(describe(rules.error()));
    CHECK(rules->files == std::vector<std::string>{"built-in"});
    std::vector<std::string> names;
    for (const Material& one : rules->materials)
        names.push_back(one.name);
    CHECK(names == std::vector<std::string>{"soybean-whole", "soybean-ground", "soybean", "peanut-whole",
                                            "peanut-ground", "peanut"});
    CHECK(rules->batch.material_names == names);
}
TEST_CASE("default bases are 13 for soybean and dry for peanut") {
    const Ruleset rules = built_in();
    for (const Material& one : rules.materials)
        CHECK(one.basis == (one.name.starts_with("soybean") ? Basis::at(13) : Basis::dry()));
    CHECK(rules.wanted_basis(0) == Basis::at(13));
    CHECK(rules.wanted_basis(255) == Basis::dry());
    CHECK(rules.material(255) == nullptr);
}

TEST_CASE("every built-in limit names its source") {
    for (const Material& one : built_in().materials) {
        INFO(one.name);
        CHECK_FALSE(one.window.origin.source.empty());
        for (const Ranges* ranges : {&one.expected, &one.possible})
            for (const auto& [id, list] : *ranges)
                for (const Range& range : list) {
                    INFO("constituent " << id);
                    CHECK_FALSE(range.origin.source.empty());
                    CHECK(range.origin.where == "built-in");
                }
        CHECK_FALSE(one.sums.fatty_acids.origin.source.empty());
        CHECK_FALSE(one.repeatability_sd.empty());
        CHECK_FALSE(one.sep.empty());
    }
}

TEST_CASE("the possible range of a built-in material holds its expected range") {
    for (const Material& one : built_in().materials)
        for (const auto& [id, list] : one.possible) {
            const auto expected = one.expected.find(id);
            if (expected == one.expected.end())
                continue;
            INFO(one.name << " constituent " << id);
            CHECK(list[0].basis == expected->second[0].basis);
            CHECK(list[0].low.value_or(-1e9) <= expected->second[0].low.value_or(-1e9));
            CHECK(list[0].high.value_or(1e9) >= expected->second[0].high.value_or(1e9));
        }
}

TEST_CASE("whole and ground share the limits of the plain material") {
    const Ruleset rules = built_in();
    const Range& whole = material(rules, "soybean-whole").expected.at(constituent::protein)[0];
    const Range& ground = material(rules, "soybean-ground").expected.at(constituent::protein)[0];
    CHECK(whole.low == 32.0);
    CHECK(whole.high == 50.0);
    CHECK(whole.basis == Basis::dry());
    CHECK(ground.low == whole.low);
    CHECK(material(rules, "peanut-ground").window.high == 8.0);
    CHECK(material(rules, "peanut-whole").window.low == 5.0);
}

TEST_CASE("fatty acids have ranges by oil type and one for the rest") {
    const Ruleset rules = built_in();
    const auto& oleic = material(rules, "soybean-whole").expected.at(constituent::oleic);
    REQUIRE(oleic.size() == 3);
    CHECK(oleic[0].oil_type.empty());
    CHECK(oleic[0].part_of == PartOf::oil);
    CHECK(oleic[2].oil_type == "high-oleic");
}

namespace {

// Origins differ from file to file, and stand in comments alone.
std::string without_comments(const std::string& text) {
    std::string result;
    for (std::size_t begin = text.find('\n') + 1; begin < text.size();) {
        const std::size_t end = text.find('\n', begin);
        const std::string line = text.substr(begin, end - begin);
        result += line.substr(0, line.rfind(" // ")) + "\n";
        begin = end + 1;
    }
    return result;
}

} // namespace

TEST_CASE("the shown built-in rules read back as the same rules") {
    const std::string shown = show_rules(built_in());
    const Ruleset again = load(shown);
    CHECK(without_comments(show_rules(again)) == without_comments(shown));
    CHECK(again.batch.materials.size() == 6);
    CHECK(again.materials[2].origin.where == "lab.json");
}

// The documents made from the table of keys. With THRESH_UPDATE_DOCS set in the environment the committed
// files are written anew instead of compared (target update_docs).
#include "unit/rules/rules_files.hpp"

#include <thresh/rules/catalogue.hpp>
#include <thresh/rules/rules_text.hpp>

#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

using namespace thresh;
using namespace thresh::rules;

namespace {

void compare_with_committed(const std::string& name, const std::string& text) {
    const std::string path = std::string(THRESH_SOURCE_DIR) + "/docs/" + name;
    if (std::getenv("THRESH_UPDATE_DOCS") != nullptr) {
        std::ofstream(path, std::ios::binary) << text;
        return;
    }
    std::ostringstream committed;
    committed << std::ifstream(path, std::ios::binary).rdbuf();
    INFO("docs/" << name << " is not what the table says; cmake --build build --target update_docs");
    CHECK((committed.str() == text));
}

std::vector<std::string> codes() {
    std::vector<std::string> all;
    for (const Declaration& declaration : catalogue())
        all.emplace_back(declaration.code);
    return all;
}

} // namespace

TEST_CASE("docs hold the schema of the table of keys") {
    compare_with_committed("rules.schema.json", rules_schema(codes()));
}

TEST_CASE("docs hold the reference of the table of keys") {
    compare_with_committed("rules.md", rules_reference());
}

TEST_CASE("docs hold the catalogue of findings") {
    compare_with_committed("findings.md", findings_reference());
}

TEST_CASE("every reference in the schema leads somewhere") {
    const auto schema = nlohmann::json::parse(rules_schema(codes()));
    const std::string text = schema.dump();
    const std::string mark = "\"#/$defs/";
    std::size_t found = 0;
    for (std::size_t at = text.find(mark); at != std::string::npos; at = text.find(mark, at + 1)) {
        const std::size_t begin = at + mark.size();
        const std::string name = text.substr(begin, text.find('"', begin) - begin);
        INFO(name);
        CHECK(schema["$defs"].contains(name));
        ++found;
    }
    CHECK(found > 40);
}

TEST_CASE("the starter file changes nothing") {
    const Ruleset started = load(starter_rules());
    std::string with = show_rules(started), without = show_rules(built_in());
    CHECK(with.substr(with.find('\n')) == without.substr(without.find('\n')));
}

TEST_CASE("every example of the starter file reads once its slashes are gone") {
    std::string text = starter_rules();
    for (std::size_t at = text.find("//- "); at != std::string::npos; at = text.find("//- "))
        text.erase(at, 4);
    const Ruleset rules = load(text);
    CHECK(rules.controls.size() == 1);
    CHECK(rules.traits.size() == 1);
    CHECK(rules.batch.sample_id.has_value());
    CHECK(material(rules, "soybean-whole").window.margin == 0.2);
}

TEST_CASE("the defaults of the table are those of the rules") {
    std::string text = "{ \"extends\": []";
    for (const char* key : {"check_characters", "below_limit", "few_samples", "session_gap_hours",
                            "nitrogen_factor", "charts", "tests", "trials", "standard"}) {
        const auto schema = nlohmann::json::parse(rules_schema(codes()));
        const auto& property = schema["$defs"]["rules"]["properties"][key];
        nlohmann::json value;
        if (property.contains("default"))
            value = property["default"];
        else
            for (const auto& [name, entry] : schema["$defs"][key]["properties"].items())
                if (entry.contains("default"))
                    value[name] = entry["default"];
        text += ", \"" + std::string(key) + "\": " + value.dump();
    }
    const std::string given = show_rules(load(text + " }"));
    const std::string none = show_rules(load("{ \"extends\": [] }"));
    const auto values = [](std::string shown) {
        std::string result;
        std::istringstream lines(shown);
        for (std::string line; std::getline(lines, line);)
            result += line.substr(0, line.rfind(" // ")) + "\n";
        return result;
    };
    CHECK(values(given) == values(none));
}

TEST_CASE("a check of rules files counts what each sets") {
    const Files files = {{"lab.json", R"({ "few_samples": 3, "severity": { "above-expected": "note" },
        "materials": { "oat": { "expected": { "oil": { "low": 2, "high": 9 } } } } })"}};
    const auto check = check_rules({"lab.json"}, reader(files));
    REQUIRE(check);
    CHECK(check->materials == 7);
    CHECK(to_text(*check) ==
          "lab.json: 4 values in force: few_samples 1, materials 2, severity 1\n7 materials in all\n");
    CHECK_FALSE(check_rules({"none.json"}, reader(files)));
}

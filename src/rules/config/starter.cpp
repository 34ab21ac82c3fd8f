// The starter file: every outermost key as a comment, with an example that reads when its slashes are taken
// away. The one live entry stands last, so that each example ends with a comma whatever is switched on.
#include "rules/config/keys.hpp"

#include <thresh/rules/rules_text.hpp>

#include <fmt/format.h>
#include <utility>

namespace thresh::rules {

namespace {

// Keys without an example here show their default.
constexpr std::pair<std::string_view, std::string_view> kExamples[] = {
    {"sample_id", R"("{trial}-{line}-{rep}")"},
    {"columns", R"({
  "protein": { "headings": ["Prot NIR"], "part_of": "sample", "basis": "as-is" },
  "ignore": ["Remark*"]
})"},
    {"materials", R"({
  "soybean-whole": {
    "when": { "analysis": "*soy*whole*" },
    "basis": 13,
    "moisture_window": { "low": 5, "high": 8, "margin": 0.2 },
    "expected": { "protein": { "low": 34, "high": 46, "basis": "dry", "source": "our last five seasons" } },
    "calibrated": { "protein": { "low": 28, "high": 50, "basis": "as-is" }, "distance": 3 },
    "repeatability_sd": { "protein": 0.15, "oil": 0.12, "moisture": 0.06 }
  }
})"},
    {"standard",
     R"({ "when": { "analysis": "*polystyrene*" }, "target": 1143.6, "review": 0.5, "exclude": 1.0 })"},
    {"controls", R"({ "CTRL-A": { "protein": { "target": 40.1, "sd": 0.20, "basis": "dry" } } })"},
    {"ignore", R"({ "sample": ["test*", "warm*"] })"},
    {"traits", R"({ "extractable_oil": { "formula": "oil * 0.95", "unit": "%" } })"},
    {"checks",
     R"([ { "name": "low-18-carbon", "when": "oleic + linoleic < 60", "message": "18-carbon acids are low" } ])"},
    {"dark_coats", R"(["black", "brown"])"},
    {"severity", R"({ "above-expected": "note" })"},
    {"charts", R"({ "western_electric": true })"},
    {"tests", R"({ "outlier_percent": 1 })"},
    {"trials", R"({ "environment": "fixed" })"},
};

std::string_view example_of(const Key& key) {
    for (const auto& [name, example] : kExamples)
        if (name == key.name)
            return example;
    return key.default_json;
}

} // namespace

std::string starter_rules() {
    std::string text =
        "// Rules of this laboratory. They lie over the built-in rules key by key; `thresh rules show` "
        "prints\n"
        "// what is in force. Take the slashes of the `//-` lines away from what shall hold here.\n{\n";
    for (const Key& key : keys_of(Section::root).keys) {
        if (key.name == "$schema" || key.name == "extends")
            continue;
        text += fmt::format("  // {}\n  //- \"{}\": ", key.about, key.name);
        for (const char c : example_of(key)) {
            text += c;
            if (c == '\n')
                text += "  //- ";
        }
        text += ",\n\n";
    }
    const Key& extends = *keys_of(Section::root).find("extends");
    text += fmt::format("  // {}\n  \"extends\": {}\n}}\n", extends.about, extends.default_json);
    return text;
}

} // namespace thresh::rules

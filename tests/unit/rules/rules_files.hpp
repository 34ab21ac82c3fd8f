// Rules files held in memory, for tests.
#pragma once

#include <thresh/rules/ruleset.hpp>

#include <catch2/catch.hpp>

#include <map>

namespace thresh::rules {

using Files = std::map<std::string, std::string>;

inline ReadFile reader(const Files& files) {
    return [files](const std::string& path) -> Result<std::string> {
        const auto found = files.find(path);
        if (found == files.end())
            return fail("no such file", "check the name", path);
        return found->second;
    };
}

inline Ruleset load(const std::string& text) {
    auto rules = load_rules({"lab.json"}, reader({{"lab.json", text}}));
    INFO(text);
    if (!rules)
        FAIL(describe(rules.error()));
    return std::move(*rules);
}

inline Error refusal(const std::string& text) {
    const auto rules = load_rules({"lab.json"}, reader({{"lab.json", text}}));
    INFO(text);
    if (rules)
        FAIL("the text was accepted");
    return rules.error();
}

inline Ruleset built_in() {
    return load_rules({}, reader({})).value();
}

inline const Material& material(const Ruleset& rules, const std::string& name) {
    for (const Material& one : rules.materials)
        if (one.name == name)
            return one;
    FAIL("no material " + name);
    return rules.materials.front();
}

} // namespace thresh::rules

// Rules as text: the rules in force, a file to start from, what a file sets, and the reference and JSON
// Schema of rules files.
#pragma once

#include <thresh/rules/ruleset.hpp>

#include <string>
#include <utility>
#include <vector>

namespace thresh::rules {

// The rules in force as a rules file with comments: after each entry where it came from. Reading the text
// gives the same rules (options included, origins aside).
std::string show_rules(const Ruleset& rules);

// A commented rules file to start from: every key with what it does and its default. It sets nothing until a
// line is taken out of its comment.
std::string starter_rules();

// What rules files set.
struct RulesCheck {
    struct Part {
        std::string key;        // outermost key: "materials", "severity"
        std::size_t values = 0; // in force: entries that a later file overlays do not count
    };
    struct File {
        std::string file;
        std::vector<Part> parts; // in order of key
    };
    std::vector<File> files; // base first, without the built-in rules
    std::size_t materials = 0;
};
// Errors: as load_rules.
Result<RulesCheck> check_rules(const std::vector<std::string>& files, const ReadFile& read);
// For people: a line for each file, the first "lab.json: 12 values: materials 10, severity 2".
std::string to_text(const RulesCheck& check);

// The JSON Schema (2020-12) by which editors complete and check rules files, and the reference of all keys as
// Markdown. `codes`: of findings.
std::string rules_schema(const std::vector<std::string>& codes);
std::string rules_reference();

} // namespace thresh::rules

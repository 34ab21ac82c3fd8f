// From the tree of rules in force to the Ruleset.
#pragma once

#include "rules/config/value.hpp"

#include <thresh/rules/ruleset.hpp>

#include <deque>
#include <string>
#include <utility>
#include <vector>

namespace thresh::rules {

// The entries in force, kept for those who ask where they came from.
struct Entries {
    Node root;
    std::deque<Node> joined;                                    // materials with what `like` lent them
    std::vector<std::pair<std::string, const Node*>> materials; // by path, in `root` or `joined`
};

// `root` has been checked and overlaid. Errors, with place: bounds the wrong way round, a required entry that
// is not there, `like` that names nothing or itself, a name that another file has taken out.
Result<Ruleset> build_ruleset(Node root);

// The material part (build_material.cpp): materials and their batch cases into `rules`, the nodes they were
// built from into `entries`.
Result<void> build_materials(const Node& materials, Ruleset& rules, Entries& entries);

// Readers of checked entries, shared by both parts. A missing key leaves the default.
void read(const Node& object, std::string_view key, double& into);
void read(const Node& object, std::string_view key, std::optional<double>& into);
void read(const Node& object, std::string_view key, int& into);
void read(const Node& object, std::string_view key, bool& into);
void read(const Node& object, std::string_view key, std::string& into);
void read(const Node& object, std::string_view key, Basis& into);
void read(const Node& object, std::string_view key, std::optional<Severity>& into);
void read(const Node& object, std::string_view key, Time& into);
void read(const Node& object, std::string_view key, std::vector<std::string>& into);
std::optional<PartOf> part_of_word(std::string_view word);
std::string_view to_text(PartOf part);
batch::When read_when(const Node& when);
// Error at the later of the two when both are given and `low` is above `high`.
Result<void> in_order(const Node& object, std::string_view low, std::string_view high);
// Error where an entry below `root` ends before it begins: it would never hold.
Result<void> dates_in_order(const Node& root);
Result<ConstituentId> constituent_named(const Node& at, Place place, std::string_view name,
                                        const ConstituentTable& table);
// The constituents that an entry names, in its order. Error: an unknown one.
Result<std::vector<ConstituentId>> constituents_in(const Node& entry, const ConstituentTable& table);

// The value inside `node` that the last layer wrote: where an entry as a whole comes from.
const Node& newest(const Node& node);
Origin origin_of(const Node& node); // of newest(node)
// Notes the origin of every value below `node` under its path.
void note_origins(const Node& node, const std::string& path, Origins& origins);

} // namespace thresh::rules

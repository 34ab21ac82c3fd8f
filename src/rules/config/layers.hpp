// From rules files to one tree: which texts are in force, in which order, and how one lies over the other.
#pragma once

#include "rules/config/keys.hpp"
#include "rules/config/value.hpp"

#include <thresh/rules/ruleset.hpp>

namespace thresh::rules {

// The texts in force, base first, each once: what a file extends comes before it; a file that says nothing
// extends the built-in rules. Errors: unreadable, not JSON, circular `extends`; with place.
Result<std::vector<Node>> read_layers(const std::vector<std::string>& files, const ReadFile& read);

// Writes the nearest `source` of every value beside it and takes the `source` keys out.
void spread_sources(Node& root);

// Lays `over` over `base`, key by key: objects are joined, lists of objects joined by their identity keys,
// anything else replaces, null takes out. In `materials`, `controls` and lists the entries of `over` come
// first, in their order.
void overlay(Node& base, Node over, Section section);

} // namespace thresh::rules

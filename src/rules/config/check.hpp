// Whether one rules text keeps to the table of keys.
#pragma once

#include "rules/config/keys.hpp"
#include "rules/config/value.hpp"

#include <thresh/core/constituent.hpp>
#include <thresh/core/finding.hpp>
#include <thresh/core/time.hpp>

#include <optional>

namespace thresh::rules {

// Names that a rules text may use besides the table's.
struct KnownNames {
    ConstituentTable constituents; // built-in ones and the traits of all texts
    std::vector<std::string> codes;
};

// Adds the traits of a text, by name only, so that other entries may name them. Error: a name that is no
// name, or that a built-in constituent has.
Result<void> add_trait_names(const Node& root, KnownNames& known);

// Error at the first entry that does not fit: unknown key or name (nearest one named), wrong type, number out
// of bounds, unknown word, bad basis, two entries of a list for the same thing.
Result<void> check_text(const Node& root, const KnownNames& known);

std::optional<Severity> severity_of(std::string_view word); // off note review exclude

// What distinguishes an entry of a list of `section`: its identity keys' texts.
std::string identity_of(const Node& entry, Section section);

} // namespace thresh::rules

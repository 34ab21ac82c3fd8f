// The rules as objects, for the engine.
#pragma once

#include "rules/rule.hpp"

namespace thresh::rules {

struct ListedRule {
    const Rule* rule;
    std::vector<std::uint16_t> codes; // of its declarations, in catalogue()
};

const std::vector<ListedRule>& listed_rules();
// The rule that a code belongs to and the place of its declaration.
struct Owner {
    const Rule* rule;
    unsigned which;
};
Owner owner_of(std::uint16_t code);

} // namespace thresh::rules

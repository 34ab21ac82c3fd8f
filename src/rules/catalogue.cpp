// The list of all rules: one line each. Codes are numbered in bytewise order, so that sorting by number is
// sorting by name.
#include "rules/catalogue_list.hpp"

#include <algorithm>
#include <cassert>

namespace thresh::rules {

// One function a file, in the file of the rule.
#define THRESH_RULES(X)                                                                                      \
    X(intake_notes)                                                                                          \
    X(cell_states)                                                                                           \
    X(moisture)                                                                                              \
    X(moisture_absent)                                                                                       \
    X(expected)                                                                                              \
    X(impossible_value)                                                                                      \
    X(outside_calibration)                                                                                   \
    X(sum_off)                                                                                               \
    X(own_check)                                                                                             \
    X(id_blank)                                                                                              \
    X(reading_repeated)                                                                                      \
    X(material_unknown)                                                                                      \
    X(material_mismatch)                                                                                     \
    X(grind_first)                                                                                           \
    X(stuck_reading)                                                                                         \
    X(cup_unchanged)                                                                                         \
    X(queue_shifted)                                                                                         \
    X(control)                                                                                               \
    X(standard)                                                                                              \
    X(clock)                                                                                                 \
    X(drift)                                                                                                 \
    X(read_both_ways)                                                                                        \
    X(calibration_mixed)                                                                                     \
    X(repeats)                                                                                               \
    X(outlier_in_line)                                                                                       \
    X(sample_listing)                                                                                        \
    X(id_altered)                                                                                            \
    X(id_reused)                                                                                             \
    X(id_mistyped)                                                                                           \
    X(few_samples)                                                                                           \
    X(decision_unmatched)

#define THRESH_DECLARE(name) const Rule& rule_##name();
THRESH_RULES(THRESH_DECLARE)
#undef THRESH_DECLARE

namespace {

struct Catalogue {
    std::vector<Declaration> declarations;
    std::vector<Owner> owners;
    std::vector<ListedRule> rules;
};

Catalogue make() {
    const Rule* all[] = {
#define THRESH_NAME(name) &rule_##name(),
        THRESH_RULES(THRESH_NAME)
#undef THRESH_NAME
    };
    Catalogue made;
    struct Entry {
        Declaration declaration;
        Owner owner;
    };
    std::vector<Entry> entries;
    for (const Rule* rule : all)
        for (unsigned which = 0; which < rule->declarations().size(); ++which)
            entries.push_back({rule->declarations()[which], {rule, which}});
    std::sort(entries.begin(), entries.end(),
              [](const Entry& a, const Entry& b) { return a.declaration.code < b.declaration.code; });
    for (const Rule* rule : all)
        made.rules.push_back({rule, std::vector<std::uint16_t>(rule->declarations().size())});
    for (std::size_t code = 0; code < entries.size(); ++code) {
        assert(code == 0 || entries[code - 1].declaration.code != entries[code].declaration.code);
        made.declarations.push_back(entries[code].declaration);
        made.owners.push_back(entries[code].owner);
        for (ListedRule& listed : made.rules)
            if (listed.rule == entries[code].owner.rule)
                listed.codes[entries[code].owner.which] = static_cast<std::uint16_t>(code);
    }
    return made;
}

const Catalogue& the_catalogue() {
    static const Catalogue made = make();
    return made;
}

} // namespace

const std::vector<Declaration>& catalogue() {
    return the_catalogue().declarations;
}
const std::vector<ListedRule>& listed_rules() {
    return the_catalogue().rules;
}
Owner owner_of(std::uint16_t code) {
    return the_catalogue().owners[code];
}

std::optional<std::uint16_t> code_index(std::string_view code) {
    const auto& all = catalogue();
    const auto at =
        std::lower_bound(all.begin(), all.end(), code,
                         [](const Declaration& d, std::string_view name) { return d.code < name; });
    if (at == all.end() || at->code != code)
        return std::nullopt;
    return static_cast<std::uint16_t>(at - all.begin());
}

std::string_view to_text(Action action) {
    static constexpr std::string_view kNames[] = {
        "nothing to do",        "settle what was assumed",        "correct the export",
        "correct the ID",       "say which material it is",       "find the sample",
        "check the instrument", "condition the seed, read again", "grind, read again",
        "read again",           "send to wet chemistry",          "look",
    };
    return kNames[static_cast<unsigned>(action)];
}

} // namespace thresh::rules

// The public way to the rules: finding codes come from the catalogue of rules.
#include "rules/config/load.hpp"

#include <thresh/rules/catalogue.hpp>

namespace thresh::rules {

Result<Ruleset> load_rules(const std::vector<std::string>& files, const ReadFile& read) {
    std::vector<std::string> codes;
    for (const Declaration& declaration : catalogue())
        codes.emplace_back(declaration.code);
    return load_rules(files, read, codes);
}

} // namespace thresh::rules

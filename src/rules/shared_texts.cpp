#include <thresh/rules/shared_texts.hpp>

#include "rules/catalogue_list.hpp"
#include "rules/limits.hpp"

namespace thresh::rules {

const FindingText* SharedTexts::find(const Finding& finding) {
    const Owner owner = owner_of(finding.code);
    if (finding.about == About::file)
        return nullptr; // folded ones
    const auto same = owner.rule->shared_text(finding, {batch_, rules_, judgement_});
    if (!same)
        return nullptr;
    const auto [at, fresh] = texts_.try_emplace(std::uint64_t{finding.code} << 32 | *same);
    if (fresh)
        at->second = describe(finding, judgement_, batch_, rules_);
    return &at->second;
}

std::optional<double> SharedTexts::value_of(const Finding& finding) const {
    return raw_of({batch_, rules_, judgement_}, finding.row, finding.constituent);
}

} // namespace thresh::rules

// Texts of findings, made once where many findings have the same.
#pragma once

#include <thresh/rules/judge.hpp>

#include <cstdint>
#include <optional>
#include <unordered_map>

namespace thresh::rules {

// One for a thread; what is given to it must outlive it.
class SharedTexts {
  public:
    SharedTexts(const Judgement& judgement, const batch::Batch& batch, const Ruleset& rules)
        : judgement_(judgement), batch_(batch), rules_(rules) {}

    // What describe() says of the finding, but for `value`, which means nothing here: it is value_of(). Null
    // where the finding's text is its own. Holds as long as this.
    const FindingText* find(const Finding& finding);
    // The value of a finding that find() knows.
    std::optional<double> value_of(const Finding& finding) const;

  private:
    const Judgement& judgement_;
    const batch::Batch& batch_;
    const Ruleset& rules_;
    std::unordered_map<std::uint64_t, FindingText> texts_; // by code and what the rule counts as the same
};

} // namespace thresh::rules

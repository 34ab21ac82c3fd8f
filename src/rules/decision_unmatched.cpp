// decision-unmatched: a decision that no longer, or never, was about anything.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"decision-unmatched", Severity::review, About::decision, Phase::decisions, Action::settle,
     "a decision that matches nothing",
     "what somebody settled has no effect: a mistyped ID, or an export that is gone",
     "correct the decision, or take it out of the file", "the decisions file"},
};

class DecisionUnmatched final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        for (std::uint32_t i = 0; i < evidence.batch.decisions.size(); ++i)
            if (!evidence.batch.targets[i].found() ||
                (evidence.batch.decisions[i].action == batch::Decision::Action::keep &&
                 !evidence.so_far.decision_met[i]))
                sink.subject(0, About::decision, i);
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Decision& decision = evidence.batch.decisions[finding.subject];
        static constexpr std::string_view kActions[] = {"keep", "drop", "rename"};
        FindingText text;
        text.message =
            fmt::format("`{}`{}{} on line {} of the decisions matches nothing",
                        kActions[static_cast<unsigned>(decision.action)],
                        decision.sample.empty() ? "" : " of `" + decision.sample + "`",
                        decision.code.empty() ? "" : " (" + decision.code + ")", decision.row_line);
        return text;
    }
};

} // namespace

const Rule& rule_decision_unmatched() {
    static const DecisionUnmatched rule;
    return rule;
}

} // namespace thresh::rules

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
        using Action = batch::Decision::Action;
        for (std::uint32_t i = 0; i < evidence.batch.decisions.size(); ++i) {
            const batch::Decision& decision = evidence.batch.decisions[i];
            const bool nothing_kept = decision.action == Action::keep && !evidence.so_far.decision_met[i];
            const bool unknown = decision.action == Action::drop && !decision.constituent.empty() &&
                                 !evidence.rules.constituents.find(decision.constituent);
            if (!evidence.batch.targets[i].found() || nothing_kept || unknown)
                sink.subject(0, About::decision, i);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Decision& decision = evidence.batch.decisions[finding.subject];
        static constexpr std::string_view kActions[] = {"keep", "drop", "rename"};
        FindingText text;
        text.message =
            fmt::format("`{}`{}{}{} on line {} of the decisions matches nothing",
                        kActions[static_cast<unsigned>(decision.action)],
                        decision.sample.empty() ? "" : " of `" + decision.sample + "`",
                        decision.constituent.empty() ? "" : " in `" + decision.constituent + "`",
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

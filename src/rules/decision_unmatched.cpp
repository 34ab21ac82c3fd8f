// decision-unmatched: a decision that no longer, or never, was about anything.
#include "rules/limits.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"decision-unmatched", Severity::review, About::decision, Phase::decisions, Action::settle,
     "a decision that matches nothing",
     "what somebody settled has no effect: a mistyped ID, or an export that is gone",
     "correct the decision, or take it out of the file", "the decisions file"},
};

// Whether the decision would drop nothing but standards and controls: these have no value in any mean, and
// what they tell about a session is settled by keeping it.
bool drops_no_seed(const batch::Batch& batch, std::uint32_t decision) {
    const auto& rows = batch.targets[decision].rows;
    return batch.decisions[decision].action == batch::Decision::Action::drop && !rows.empty() &&
           std::ranges::all_of(rows, [&](RowId row) {
               return batch.kind[row] == Kind::standard || batch.kind[row] == Kind::control;
           });
}

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
            if (!evidence.batch.targets[i].found() || nothing_kept || unknown ||
                drops_no_seed(evidence.batch, i))
                sink.subject(0, About::decision, i);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Decision& decision = evidence.batch.decisions[finding.subject];
        static constexpr std::string_view kActions[] = {"keep", "drop", "rename"};
        FindingText text;
        text.message = fmt::format("`{}`{}{}{} on line {} of the decisions matches {}",
                                   kActions[static_cast<unsigned>(decision.action)],
                                   decision.sample.empty() ? "" : " of `" + decision.sample + "`",
                                   decision.constituent.empty() ? "" : " in `" + decision.constituent + "`",
                                   decision.code.empty() ? "" : " (" + decision.code + ")", decision.row_line,
                                   drops_no_seed(evidence.batch, finding.subject)
                                       ? "no seed, only a standard or control; `keep` settles what these tell"
                                       : "nothing");
        return text;
    }
};

} // namespace

const Rule& rule_decision_unmatched() {
    static const DecisionUnmatched rule;
    return rule;
}

} // namespace thresh::rules

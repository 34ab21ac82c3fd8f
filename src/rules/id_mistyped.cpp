// id-mistyped: an ID whose check character does not fit the rest. Only where the rules name a scheme.
#include "rules/check_character.hpp"
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"id-mistyped", Severity::review, About::sample, Phase::repeats, Action::correct_id,
     "an ID whose check character does not fit",
     "a digit was mistyped or two were swapped: the reading may be another's",
     "compare with the packet; enter `rename` in the decisions file",
     "`check_characters` of the rules in force: ISO 7064 MOD 37,36, Luhn, Damm or Verhoeff"},
};

class IdMistyped final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_samples(const Evidence& evidence, std::uint32_t first, std::uint32_t last,
                       Sink& sink) const override {
        if (evidence.rules.check_characters.empty())
            return;
        for (std::uint32_t sample = first; sample < last; ++sample) {
            const auto rows = evidence.batch.rows_of(sample);
            if (!rows.empty() &&
                !check_character_fits(evidence.rules.check_characters, evidence.batch.samples[sample].id))
                sink.subject(0, About::sample, sample, rows.front());
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message =
            fmt::format("the check character of `{}` does not fit ({})",
                        evidence.batch.samples[finding.subject].id, evidence.rules.check_characters);
        return text;
    }
};

} // namespace

const Rule& rule_id_mistyped() {
    static const IdMistyped rule;
    return rule;
}

} // namespace thresh::rules

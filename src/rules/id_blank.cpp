// id-blank: a reading that belongs to nobody.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"id-blank", Severity::exclude, About::reading, Phase::reading, Action::correct_id,
     "a reading without a sample ID", "it cannot be tied to a sample, so it enters no mean",
     "find out from time and neighbours which sample it was, and enter `rename` in the decisions file",
     "no limit"},
};

class IdBlank final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (is_seed(evidence, id) && evidence.batch.sample[id] == kNone)
                sink.reading(0, id);
        }
    }

    FindingText describe(unsigned, const Finding&, const Evidence&) const override {
        FindingText text;
        text.message = "the sample ID is blank";
        return text;
    }
};

} // namespace

const Rule& rule_id_blank() {
    static const IdBlank rule;
    return rule;
}

} // namespace thresh::rules

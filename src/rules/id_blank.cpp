// id-blank: a reading that belongs to nobody. What stands for a missing ID is told by batch.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"id-blank", Severity::exclude, About::reading, Phase::reading, Action::correct_id,
     "a reading without a sample ID", "it cannot be tied to a sample, so it enters no mean",
     "find out from time and neighbours which sample it was, and enter `rename` in the decisions file",
     "no limit; spreadsheets' error words (`#N/A`), lone marks (`-`), and `NA` and its like where no sample "
     "list lists them are no IDs (common practice)"},
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

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Batch& batch = evidence.batch;
        const TextId id = batch.block_of(finding.row).text_of(TextField::sample, batch.in_block(finding.row));
        FindingText text;
        text.message = id == kNoText ? "the sample ID is blank"
                                     : fmt::format("`{}` stands where the sample ID should, and is none",
                                                   batch.readings.pool(TextField::sample)[id]);
        return text;
    }
};

} // namespace

const Rule& rule_id_blank() {
    static const IdBlank rule;
    return rule;
}

} // namespace thresh::rules

// material-mismatch: read with the calibration of another material than the sample list names: a fault of
// measurement, whatever the values look like.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"material-mismatch", Severity::review, About::reading, Phase::reading, Action::read_again,
     "read as another material than the sample list names",
     "the calibration of another crop or presentation gives numbers that mean nothing",
     "read the sample again under the right analysis, or correct its material in the sample list",
     "the sample list against material column and analysis of the export", true},
};

class MaterialMismatch final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                continue;
            const std::uint8_t own = evidence.batch.own_material[id];
            if (own != batch::kNoMaterial && own != evidence.batch.material[id])
                sink.reading(0, id);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Batch& batch = evidence.batch;
        FindingText text;
        text.message =
            fmt::format("listed as {}, read as {}", batch.material_names[batch.material[finding.row]],
                        batch.material_names[batch.own_material[finding.row]]);
        return text;
    }
};

} // namespace

const Rule& rule_material_mismatch() {
    static const MaterialMismatch rule;
    return rule;
}

} // namespace thresh::rules

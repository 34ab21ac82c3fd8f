// material-unknown: no rules apply to the reading, and it must not pass as if they had.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"material-unknown", Severity::review, About::reading, Phase::reading, Action::map_material,
     "nothing says of which material the reading is",
     "no moisture window, range or default basis was applied to it",
     "name the material in the sample list, map it by `when` in the rules file, or use --assume-material",
     "no limit"},
};

class MaterialUnknown final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (is_seed(evidence, id) && evidence.batch.material[id] == batch::kNoMaterial)
                sink.reading(0, id);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const Block& block = evidence.batch.block_of(finding.row);
        const std::size_t row = evidence.batch.in_block(finding.row);
        FindingText text;
        std::string said;
        for (const TextField field : {TextField::material, TextField::analysis}) {
            const TextId id = block.text_of(field, row);
            if (id != kNoText)
                said += fmt::format("{}{} `{}`", said.empty() ? "" : ", ", field_info(field).name,
                                    evidence.batch.readings.pool(field)[id]);
        }
        text.message = said.empty() ? "the reading says nothing of its material"
                                    : fmt::format("no material of the rules matches {}", said);
        return text;
    }
};

} // namespace

const Rule& rule_material_unknown() {
    static const MaterialUnknown rule;
    return rule;
}

} // namespace thresh::rules

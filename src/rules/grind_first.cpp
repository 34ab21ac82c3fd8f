// grind-first: dark seed coats swallow the light that whole-seed calibrations live on; such seed is ground
// before it is read. Never asked for seed that has to stay whole or was treated.
#include "rules/limits.hpp"
#include "rules/presentation.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"grind-first", Severity::review, About::reading, Phase::reading, Action::grind_and_read,
     "seed with a dark coat was read whole",
     "a dark coat hides the inside of the seed; protein and oil come out wrong",
     "grind and read again, with dust extraction and hearing and breathing protection; never treated seed; "
     "where the sample list names the presentation, name the crop alone",
     "`dark_coats` of the rules in force (common practice)"},
};

class GrindFirst final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_samples(const Evidence& evidence, std::uint32_t first, std::uint32_t last,
                       Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        if (!batch.list.states(batch::ListText::seed_coat))
            return;
        for (std::uint32_t sample = first; sample < last; ++sample) {
            const std::uint32_t entry = batch.samples[sample].entry;
            if (batch.list.keep_whole(entry) || batch.list.treated(entry) ||
                !dark_coat(batch.list.text(entry, batch::ListText::seed_coat), evidence.rules))
                continue;
            for (const RowId row : batch.rows_of(sample)) {
                // As what it was read, whatever the list calls the packet.
                const bool told = batch.own_material[row] != batch::kNoMaterial;
                const std::uint8_t material = told ? batch.own_material[row] : batch.material[row];
                if (material != batch::kNoMaterial && batch.material_names[material].ends_with("-whole"))
                    sink.reading(0, row);
            }
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = fmt::format("seed with a {} coat was read whole",
                                   listed(evidence, finding.row, batch::ListText::seed_coat));
        return text;
    }
};

} // namespace

const Rule& rule_grind_first() {
    static const GrindFirst rule;
    return rule;
}

} // namespace thresh::rules

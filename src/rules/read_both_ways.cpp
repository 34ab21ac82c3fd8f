// read-both-ways: a sample that was read whole and ground. Which reading stands was chosen before
// (presentation.cpp); here it is told, and that nothing was chosen where the rules do not say.
#include "rules/limits.hpp"
#include "rules/presentation.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"read-both-ways", Severity::note, About::sample, Phase::drift, Action::nothing,
     "a sample was read whole and ground",
     "whole and ground seed are different materials with calibrations of their own; a mean over both means "
     "nothing, and two rows hold half of a line each",
     "nothing where one reading stands; say which by `prefer` in the rules file, or drop a reading by a "
     "decision",
     "ground for a listed dark coat (`dark_coats`), else `prefer` of the materials in the rules in force"},
};

class ReadBothWays final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        std::uint32_t told = kNone;
        for (const RowId row : by_sample(evidence)) {
            const std::uint32_t sample = batch.sample[row];
            if (sample == told)
                continue;
            told = sample;
            const auto [crop, other] = crop_and_presentation(batch.material_names[batch.material[row]]);
            const std::string_view coat =
                batch.list.text(batch.samples[sample].entry, batch::ListText::seed_coat);
            sink.subject(0, About::sample, sample, row, kNoConstituent, {},
                         sink.keep(fmt::format(
                             "`{}` was read whole and ground: the {} reading stands ({})",
                             batch.samples[sample].id, other == "whole" ? "ground" : "whole",
                             dark_coat(coat, evidence.rules) ? fmt::format("{} coat", coat)
                                                             : std::string("`prefer` of the rules"))));
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static std::vector<RowId> by_sample(const Evidence& evidence) {
        std::vector<RowId> rows = evidence.so_far.outranked;
        std::stable_sort(rows.begin(), rows.end(), [&](RowId a, RowId b) {
            return evidence.batch.sample[a] < evidence.batch.sample[b];
        });
        return rows;
    }
};

} // namespace

const Rule& rule_read_both_ways() {
    static const ReadBothWays rule;
    return rule;
}

} // namespace thresh::rules

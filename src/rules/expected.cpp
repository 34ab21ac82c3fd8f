// below-expected, above-expected: a value outside the range expected of its material, on the range's own
// basis. An impossible value is not told a second time.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr unsigned kBelow = 0, kAbove = 1;

constexpr Declaration kDeclared[] = {
    {"below-expected", Severity::review, About::value, Phase::reading, Action::look,
     "a value is below the range expected of its material",
     "it may be a typing or sampling error, another sample under this ID, or a line worth a second look",
     "look at the packet and its neighbours; read again when in doubt. To accept it, enter `keep` in the "
     "decisions "
     "file or widen `expected` in the rules file",
     "the rules in force: `thresh rules show` names the source of each range"},
    {"above-expected", Severity::review, About::value, Phase::reading, Action::look,
     "a value is above the range expected of its material",
     "it may be a typing or sampling error, another sample under this ID, or a line worth a second look",
     "look at the packet and its neighbours; read again when in doubt. To accept it, enter `keep` in the "
     "decisions "
     "file or widen `expected` in the rules file",
     "the rules in force: `thresh rules show` names the source of each range"},
};

// Fatty acids, amino acids and sugars are selected for their extremes: a note, unless rules say more.
bool selected_for_extremes(Group group) {
    return group == Group::fatty_acid || group == Group::amino_acid || group == Group::sugar;
}

class Expected final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool folds() const override { return true; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        scan_ranges(evidence, block, first, last, &Material::expected,
                    [&](RowId row, std::size_t column, double value, const Range& range) {
                        const ConstituentId id = block.table->numbers[column].constituent;
                        if (impossible(evidence, block, row - block.first, column))
                            return;
                        const unsigned which = range.low && value < *range.low ? kBelow : kAbove;
                        std::optional<Severity> own = range.severity;
                        if (!own && selected_for_extremes(evidence.rules.constituents[id].group))
                            own = sink.built_in_or(which, Severity::note);
                        sink.value(which, row, id, own);
                    });
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        return outside_range_text(finding, evidence, &Material::expected, "expected");
    }
};

} // namespace

const Rule& rule_expected() {
    static const Expected rule;
    return rule;
}

} // namespace thresh::rules

// cell-unreadable, below-limit: cells that hold no plain number. Every other cell state (missing, doubtful)
// is told by column, not by cell.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr unsigned kUnreadable = 0, kBelowLimit = 1;

constexpr Declaration kDeclared[] = {
    {"cell-unreadable", Severity::review, About::value, Phase::reading, Action::correct_export,
     "a cell that is neither a number nor a mark for missing",
     "the value is left out; nothing is guessed from it",
     "correct the cell in the export, or read the sample again",
     "the numbers and missing marks that are understood: see the documentation of exports"},
    {"below-limit", Severity::note, About::value, Phase::reading, Action::nothing,
     "a value given only as below a limit",
     "it is no number; taken as zero, half or the limit it would move the mean in a known direction",
     "nothing; `below_limit` in the rules file decides whether it counts as missing, zero, half or the limit",
     "`below_limit` of the rules in force (built-in: omit)"},
};

class CellStates final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        if (block.side.empty())
            return; // every such cell has an entry there
        const auto& columns = block.table->numbers;
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                continue;
            for (std::size_t c = 0; c < columns.size(); ++c) {
                const CellState state = block.cell(row, c).state();
                if (state == CellState::unreadable)
                    sink.value(kUnreadable, id, columns[c].constituent);
                if (state == CellState::below_limit)
                    sink.value(kBelowLimit, id, columns[c].constituent);
            }
        }
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        const std::string cell = exported_text(evidence, finding.row, finding.constituent);
        const std::string& name = evidence.rules.constituents[finding.constituent].name;
        FindingText text;
        if (which == kUnreadable) {
            text.message = fmt::format("`{}` holds `{}`, which is no number", name, cell);
            return text;
        }
        static constexpr std::string_view kCounts[] = {"left out", "counted as zero",
                                                       "counted as half the limit", "counted as the limit"};
        text.message = fmt::format("`{}` is given as `{}`: {}", name, cell,
                                   kCounts[static_cast<unsigned>(evidence.rules.below_limit)]);
        return text;
    }
};

} // namespace

const Rule& rule_cell_states() {
    static const CellStates rule;
    return rule;
}

} // namespace thresh::rules

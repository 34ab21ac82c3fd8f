// own-check: a condition of the rules file that holds for a reading. Its constituents are taken as results
// show them: on the material's wanted basis, derived ones included. Where one is missing the condition says
// nothing.
#include "rules/limits.hpp"

#include <cmath>
#include <thresh/basis/derived.hpp>
#include <thresh/core/nothing.hpp>

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"own-check", Severity::review, About::reading, Phase::reading, Action::look,
     "a condition of your own rules file holds for the reading",
     "somebody thought such a reading worth a second look",
     "see the check's message; look, read again when in doubt", "`checks` of the rules in force"},
};

// The numbers of a block's readings by constituent, on one wanted basis.
class Numbers {
  public:
    Numbers(const Block& block, Basis wanted, const Ruleset& rules)
        : block_(block), rules_(rules), plan_(*block.table, wanted, rules.share_below_limit()),
          wanted_(wanted), columns_(plan_.room()), value_(constituent::kBuiltInCount, kNothing),
          part_of_(constituent::kBuiltInCount, PartOf::none) {
        for (const Column& column : block.table->numbers)
            if (column.constituent < part_of_.size())
                part_of_[column.constituent] = column.part_of;
        for (const TraitFormula& trait : rules.traits)
            traits_.emplace_back(trait.compiled);
    }

    void read(std::size_t row) {
        plan_.convert_row(block_, row, columns_);
        for (std::size_t c = 0; c < block_.table->numbers.size(); ++c)
            if (block_.table->numbers[c].constituent < value_.size())
                value_[block_.table->numbers[c].constituent] = columns_[c];
        moisture_ = basis::moisture_of(block_, row);
    }

    double of(ConstituentId id) {
        switch (rules_.constituents[id].group) {
        case Group::derived:
        case Group::ratio:
            return basis::derive(id, {value_, part_of_, wanted_, moisture_}).value_or(kNothing);
        case Group::trait:
            return trait(id);
        default:
            return value_[id];
        }
    }

  private:
    double trait(ConstituentId id) {
        for (std::size_t i = 0; i < traits_.size(); ++i) {
            if (rules_.traits[i].id != id)
                continue;
            std::vector<double> inputs;
            for (const ConstituentId input : rules_.traits[i].compiled.inputs())
                inputs.push_back(of(input));
            return traits_[i](inputs);
        }
        return kNothing;
    }

    const Block& block_;
    const Ruleset& rules_;
    std::vector<FormulaValue> traits_;
    basis::Plan plan_;
    Basis wanted_;
    std::vector<double> columns_, value_;
    std::vector<PartOf> part_of_;
    std::optional<double> moisture_;
};

class OwnCheckRule final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    // Detail: which check.
    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        if (evidence.rules.checks.empty())
            return;
        std::vector<FormulaValue> conditions;
        for (const OwnCheck& check : evidence.rules.checks)
            conditions.emplace_back(check.condition);
        std::optional<Numbers> numbers;
        std::optional<Basis> current;
        std::vector<double> inputs;
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                continue;
            const Basis wanted = evidence.rules.wanted_basis(evidence.batch.material[id]);
            if (current != wanted)
                numbers.emplace(block, wanted, evidence.rules);
            current = wanted;
            numbers->read(row);
            for (std::uint32_t i = 0; i < conditions.size(); ++i) {
                inputs.clear();
                for (const ConstituentId input : evidence.rules.checks[i].condition.inputs())
                    inputs.push_back(numbers->of(input));
                const double holds = conditions[i](inputs);
                if (!std::isnan(holds) && holds != 0)
                    sink.reading(0, id, evidence.rules.checks[i].severity, i);
            }
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const OwnCheck& check = evidence.rules.checks[finding.detail];
        const Basis wanted = evidence.rules.wanted_basis(evidence.batch.material[finding.row]);
        Numbers numbers(evidence.batch.block_of(finding.row), wanted, evidence.rules);
        numbers.read(evidence.batch.in_block(finding.row));
        FindingText text;
        text.basis = to_text(wanted);
        text.message =
            fmt::format("{}: `{}` holds", check.message.empty() ? check.name : check.message, check.when);
        const char* before = " with ";
        for (const ConstituentId input : check.condition.inputs()) {
            const ConstituentInfo& info = evidence.rules.constituents[input];
            text.message += fmt::format("{}{} {:.{}f}", before, info.name, numbers.of(input), info.decimals);
            before = ", ";
        }
        return text;
    }
};

} // namespace

const Rule& rule_own_check() {
    static const OwnCheckRule rule;
    return rule;
}

} // namespace thresh::rules

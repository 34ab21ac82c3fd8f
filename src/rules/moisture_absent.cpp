// moisture-absent: a value whose wanted basis needs a moisture that is not there. From one fixed basis to
// another none is needed, and shares of oil and protein never need one.
#include "rules/limits.hpp"

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"moisture-absent", Severity::exclude, About::value, Phase::reading, Action::read_again,
     "a value cannot be put on the wanted basis because the moisture is missing",
     "no moisture is assumed: one point of moisture moves soybean protein at 13 % by about 0.4 points",
     "read the sample again with moisture, export the moisture column, or ask for `--basis as-is`",
     "mass balance of dry matter"},
};

class MoistureAbsent final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        const auto& columns = block.table->numbers;
        const auto moisture = block.table->find(constituent::moisture);
        std::optional<basis::Plan> plan; // for readings of `material`
        std::uint8_t material = batch::kNoMaterial;
        const auto look = [&](std::size_t row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                return;
            if (moisture && block.cell(row, *moisture).is_number())
                return;
            if (!plan || evidence.batch.material[id] != material) {
                material = evidence.batch.material[id];
                plan.emplace(*block.table, evidence.rules.wanted_basis(material));
            }
            for (std::size_t c = 0; c < columns.size(); ++c)
                if (plan->needs_moisture(c) && basis::raw_value(block, row, c))
                    sink.value(0, id, columns[c].constituent);
        };
        if (moisture) {
            for_other_rows(evidence, first, last, look);
            return;
        }
        for (std::size_t row = first; row < last; ++row)
            look(row);
    }

    std::optional<std::uint32_t> shared_text(const Finding& finding,
                                             const Evidence& evidence) const override {
        return std::uint32_t{evidence.batch.material[finding.row]} << 16 | finding.constituent;
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const Basis wanted = evidence.rules.wanted_basis(evidence.batch.material[finding.row]);
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.message = fmt::format("`{}` cannot be put on basis {}: this reading has no moisture",
                                   evidence.rules.constituents[finding.constituent].name, to_text(wanted));
        return text;
    }
};

} // namespace

const Rule& rule_moisture_absent() {
    static const MoistureAbsent rule;
    return rule;
}

} // namespace thresh::rules

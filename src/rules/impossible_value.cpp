// impossible-value: a value that no seed can have: outside the material's `possible` range, over 100 %, or
// further below zero than the prediction's own error explains. Where that range reaches to zero, small
// negative predictions are kept and used.
#include "rules/limits.hpp"
#include "rules/plain_rows.hpp"

#include <limits>

namespace thresh::rules {

namespace {

constexpr double kNegativeSeps = 3;       // below zero by more than so many SEP
constexpr double kNegativeWithoutSep = 1; // percent, where no SEP is known (common practice, ours)

constexpr Declaration kDeclared[] = {
    {"impossible-value", Severity::exclude, About::value, Phase::reading, Action::read_again,
     "a value that no seed can have", "a single such value moves a mean more than all the others together",
     "read the sample again; correct the export when the decimal mark or the unit was lost",
     "`possible` in the rules in force, 0 to 100 % for shares; where `possible` reaches to zero, below zero "
     "by "
     "more than 3 SEP (common practice)"},
};

// The bound that a value breaks for being what it is, whatever the material; nothing when it breaks none.
struct Bound {
    bool low;
    double limit;
};
std::optional<Bound> broken_bound(const Evidence& evidence, const Column& column, double raw, RowId row) {
    if (column.part_of == PartOf::none)
        return std::nullopt;
    if (raw > 100)
        return Bound{false, 100};
    if (raw >= 0)
        return std::nullopt;
    const Material* material = evidence.rules.material(evidence.batch.material[row]);
    double most = kNegativeWithoutSep;
    if (material != nullptr)
        if (const auto at = material->sep.find(column.constituent); at != material->sep.end())
            most = kNegativeSeps * at->second;
    if (raw < -most)
        return Bound{true, -most};
    return std::nullopt;
}

// Whether a value below zero is left to the SEP: where zero is natural.
bool left_to_sep(double raw, const Range& range) {
    return raw < 0 && range.low.value_or(0) <= 0;
}

// Moisture has codes of its own.
bool judged(const Column& column) {
    return column.constituent != constituent::moisture;
}

// Rows whose shares break no such bound.
void narrow_to_shares(RowWindows& windows, const TableColumns& table) {
    static const CellWindow shares(0, 100, 1);
    for (std::size_t c = 0; c < table.numbers.size(); ++c)
        if (judged(table.numbers[c]) && table.numbers[c].part_of != PartOf::none)
            windows.set(c, shares);
}

class ImpossibleValue final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        const auto& columns = block.table->numbers;
        RowWindows row_possible(block, first);
        narrow_to_shares(row_possible, *block.table);
        static const CellWindow plainly_possible(0, 100, 1); // nearly every value
        for_other_rows(evidence, first, last, [&](std::size_t row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id) || row_possible.hold(block, row))
                return;
            for (std::size_t c = 0; c < columns.size(); ++c) {
                if (plainly_possible.holds(block.cell(row, c)))
                    continue;
                const auto raw = basis::raw_value(block, row, c);
                if (!raw || (*raw >= 0 && *raw <= 100) || !judged(columns[c]))
                    continue;
                if (broken_bound(evidence, columns[c], *raw, id))
                    sink.value(0, id, columns[c].constituent);
            }
        });
        scan_ranges(evidence, block, first, last, &Material::possible,
                    [&](RowId row, std::size_t column, double, const Range& range) {
                        // A value that breaks both is told once.
                        const double raw = *basis::raw_value(block, row - block.first, column);
                        if (left_to_sep(raw, range) || broken_bound(evidence, columns[column], raw, row))
                            return;
                        sink.value(0, row, columns[column].constituent, range.severity);
                    });
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const Block& block = evidence.batch.block_of(finding.row);
        const Column& column = block.table->numbers[*block.table->find(finding.constituent)];
        const double raw = *raw_of(evidence, finding.row, finding.constituent);
        const auto bound = broken_bound(evidence, column, raw, finding.row);
        if (!bound)
            return outside_range_text(finding, evidence, &Material::possible, "possible");
        FindingText text;
        text.value = raw;
        (bound->low ? text.low : text.high) = bound->limit;
        text.message =
            fmt::format("`{}` {} is {}", evidence.rules.constituents[finding.constituent].name,
                        exported_text(evidence, finding.row, finding.constituent),
                        bound->low ? "further below zero than its own error explains" : "over 100 %");
        return text;
    }
};

} // namespace

bool impossible(const Evidence& evidence, const Block& block, std::size_t row, std::size_t column) {
    const auto id = static_cast<RowId>(block.first + row);
    const Column& about = block.table->numbers[column];
    const auto raw = basis::raw_value(block, row, column);
    if (!raw || !judged(about))
        return false;
    if (broken_bound(evidence, about, *raw, id))
        return true;
    const Material* material = evidence.rules.material(evidence.batch.material[id]);
    if (material == nullptr)
        return false;
    const auto at = material->possible.find(about.constituent);
    if (at == material->possible.end())
        return false;
    const Range* range = range_for(at->second, about, listed(evidence, id, batch::ListText::oil_type));
    if (range == nullptr || left_to_sep(*raw, *range))
        return false;
    const auto value = on_range_basis(block, row, column, *range, basis::moisture_of(block, row));
    return value && ((range->low && *value < *range->low) || (range->high && *value > *range->high));
}

namespace {

ReadyMade::Plain plain_rows(const Evidence& evidence, ReadyMade& ready, const Block& block, std::size_t first,
                            const Material* material) {
    RowWindows windows(block, first);
    std::vector<SumWindow> sums;
    ReadyMade::Plain made;
    if (material == nullptr) {
        windows.hold_none();
    } else {
        narrow_to_shares(windows, *block.table);
        for (const auto which : {&Material::possible, &Material::expected, &Material::calibrated})
            ready.plan(*block.table, *material, which, evidence.batch.has_oil_types).narrow(windows, block);
        constexpr double kOpen = std::numeric_limits<double>::infinity();
        if (const auto moisture = block.table->find(constituent::moisture))
            windows.set(*moisture, CellWindow(-kOpen, kOpen, 1), RowWindows::Missing::not_held);
        if (auto told = sum_windows(block, first, material->sums))
            sums = std::move(*told);
        else
            made.sums_told = false;
    }
    made.rows = std::make_shared<const PlainRows>(std::move(windows), std::move(sums));
    return made;
}

} // namespace

OtherRows other_rows(const Evidence& evidence, const Block& block, std::size_t begin, std::size_t end) {
    OtherRows others;
    ReadyMade own;
    ReadyMade& ready = evidence.ready != nullptr ? *evidence.ready : own;
    const std::uint8_t* const material_of = evidence.batch.material.data() + block.first;
    for (std::size_t first = begin, last = begin; first < end; first = last) {
        // Rows of a block nearly always share their material.
        while (last < end && material_of[last] == material_of[first])
            ++last;
        const Material* material = evidence.rules.material(material_of[first]);
        const ReadyMade::Plain plain = ready.plain(*block.table, material, usual_decimals(block, first), [&] {
            return plain_rows(evidence, ready, block, first, material);
        });
        others.sums_told = others.sums_told && plain.sums_told;
        plain.rows->find_others(block, first, last, others);
    }
    return others;
}

const Rule& rule_impossible_value() {
    static const ImpossibleValue rule;
    return rule;
}

} // namespace thresh::rules

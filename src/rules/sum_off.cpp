// sum-off: parts of a reading that do not add up to what they must. Which sum is looked at depends on which
// constituents were read; predictions that are each in range may still not fit together.
#include "rules/limits.hpp"

#include <array>
#include <cmath>

namespace thresh::rules {

namespace {

using namespace constituent;

constexpr Declaration kDeclared[] = {
    {"sum-off", Severity::review, About::reading, Phase::reading, Action::look,
     "constituents that do not add up", "each value alone may look right while together they cannot be",
     "look at the single values; read again; check that a unit or a basis was not mistaken",
     "`sums` of the rules in force: closure of proximates and fatty acids, amino acids against protein "
     "(handbooks of "
     "food composition; common practice)"},
};

enum Which : std::uint32_t {
    kFattyAcids,
    kMainFattyAcids,
    kProximates,
    kClosure,
    kSugars,
    kAminoAcids,
    kSums
};
constexpr const char* kNames[] = {
    "fatty acids, % of oil",     "main fatty acids, % of oil",       "moisture + protein + oil + ash",
    "all proximates and sugars", "single sugars above total sugars", "amino acids / protein"};

const SumLimit& limit_of(const Sums& sums, Which which) {
    switch (which) {
    case kFattyAcids:
        return sums.fatty_acids;
    case kMainFattyAcids:
        return sums.main_fatty_acids;
    case kProximates:
        return sums.proximates;
    case kClosure:
        return sums.closure;
    case kSugars:
        return sums.sugars;
    default:
        return sums.amino_acids;
    }
}

// Where a table's constituents stand, and room for a row's numbers; made once for all rows of a block.
struct Columns {
    explicit Columns(const TableColumns& table) : as_is(table, Basis::as_is()), values(table.numbers.size()) {
        at.fill(kNone);
        for (std::uint32_t c = 0; c < table.numbers.size(); ++c)
            if (table.numbers[c].constituent < kBuiltInCount)
                at[table.numbers[c].constituent] = c;
        for (const Column& column : table.numbers)
            part_of.push_back(column.part_of);
    }
    basis::Plan as_is;
    std::array<std::uint32_t, kBuiltInCount> at{};
    std::vector<PartOf> part_of; // by column
    std::vector<double> values;  // of the row looked at
};

// The numbers of one reading by constituent, as read and on the moisture of the reading.
class Parts {
  public:
    Parts(const Block& block, Columns& columns, std::size_t row) : columns_(columns) {
        columns.as_is.convert_row(block, row, columns.values.data());
    }

    std::optional<double> operator()(ConstituentId id, PartOf part) const {
        const std::uint32_t column = columns_.at[id];
        if (column == kNone || columns_.part_of[column] != part || std::isnan(columns_.values[column]))
            return std::nullopt;
        return columns_.values[column];
    }

    // Sum of those of `ids` that are there; nothing unless all of `needed` are.
    std::optional<double> sum(std::initializer_list<ConstituentId> needed,
                              std::initializer_list<ConstituentId> more, PartOf part) const {
        double total = 0;
        for (const ConstituentId id : needed) {
            const auto value = (*this)(id, part);
            if (!value)
                return std::nullopt;
            total += *value;
        }
        for (const ConstituentId id : more)
            total += (*this)(id, part).value_or(0);
        return total;
    }

  private:
    const Columns& columns_;
};

std::optional<double> fatty_acid_sum(const Parts& parts, bool full) {
    // The long-chain acids decide whether all that matter were read: in peanut they make 5 to 8 % of the oil.
    const bool has_long = parts(arachidic, PartOf::oil) && parts(gondoic, PartOf::oil) &&
                          parts(behenic, PartOf::oil) && parts(lignoceric, PartOf::oil);
    if (full != has_long)
        return std::nullopt;
    if (full)
        return parts.sum({palmitic, stearic, oleic, linoleic, arachidic, gondoic, behenic, lignoceric},
                         {palmitoleic, linolenic, erucic}, PartOf::oil);
    return parts.sum({palmitic, stearic, oleic, linoleic},
                     {palmitoleic, linolenic, arachidic, gondoic, behenic, erucic, lignoceric}, PartOf::oil);
}

std::optional<double> amino_acid_ratio(const Parts& parts, double nitrogen_factor) {
    // Without tryptophan and cysteine, which are often left out, the sum is still near enough (under 4 %).
    const auto sum =
        parts.sum({lysine, methionine, threonine, arginine, leucine, isoleucine, valine, histidine,
                   phenylalanine, tyrosine, alanine, aspartic_acid, glutamic_acid, glycine, proline, serine},
                  {tryptophan, cysteine}, PartOf::sample);
    const auto whole = parts(protein, PartOf::sample);
    if (!sum || !whole || *whole <= 0)
        return std::nullopt;
    return *sum / basis::protein_with_factor(*whole, nitrogen_factor, 6.25);
}

std::optional<double> sugar_excess(const Parts& parts) {
    const auto total = parts(sugars, PartOf::sample);
    const auto single =
        parts.sum({sucrose}, {raffinose, stachyose, verbascose, glucose, fructose}, PartOf::sample);
    if (!total || !single)
        return std::nullopt;
    return *single - *total;
}

std::array<std::optional<double>, kSums> sums_of(const Evidence& evidence, const Block& block,
                                                 Columns& columns, std::size_t row) {
    const Parts parts(block, columns, row);
    std::array<std::optional<double>, kSums> sums;
    sums[kFattyAcids] = fatty_acid_sum(parts, true);
    sums[kMainFattyAcids] = fatty_acid_sum(parts, false);
    sums[kProximates] = parts.sum({moisture, protein, oil, ash}, {}, PartOf::sample);
    sums[kClosure] =
        parts.sum({moisture, protein, oil, ash, fiber, starch, constituent::sugars}, {}, PartOf::sample);
    sums[kSugars] = sugar_excess(parts);
    sums[kAminoAcids] = amino_acid_ratio(parts, evidence.rules.nitrogen_factor);
    return sums;
}

bool outside(double sum, const std::optional<double>& low, const std::optional<double>& high) {
    return (low && sum < *low) || (high && sum > *high);
}

// Sums need several columns: whether this table can have any.
bool worth_a_look(const TableColumns& table) {
    return (table.find(oleic) && table.find(linoleic)) || (table.find(protein) && table.find(ash)) ||
           (table.find(constituent::sugars) && table.find(sucrose)) ||
           (table.find(lysine) && table.find(protein));
}

class SumOff final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool folds() const override { return true; }

    // Detail: which sum.
    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        if (!worth_a_look(*block.table))
            return;
        Columns columns(*block.table);
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                continue;
            const Material* material = evidence.rules.material(evidence.batch.material[id]);
            if (material == nullptr)
                continue;
            const auto sums = sums_of(evidence, block, columns, row);
            for (std::uint32_t which = 0; which < kSums; ++which) {
                if (!sums[which])
                    continue;
                const SumLimit& limit = limit_of(material->sums, static_cast<Which>(which));
                if (outside(*sums[which], limit.low, limit.high))
                    sink.reading(0, id, {}, which);
                else if (outside(*sums[which], limit.note_low, limit.note_high))
                    sink.reading(0, id, sink.at_most(0, Severity::note), which);
            }
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const Block& block = evidence.batch.block_of(finding.row);
        const auto which = static_cast<Which>(finding.detail);
        const Material& material = *evidence.rules.material(evidence.batch.material[finding.row]);
        const SumLimit& limit = limit_of(material.sums, which);
        Columns columns(*block.table);
        const double sum = *sums_of(evidence, block, columns, evidence.batch.in_block(finding.row))[which];
        const bool mild = finding.severity == Severity::note && !outside(sum, limit.low, limit.high);
        FindingText text;
        text.value = sum;
        text.low = mild ? limit.note_low : limit.low;
        text.high = mild ? limit.note_high : limit.high;
        const bool below = text.low && sum < *text.low;
        const double passed = below ? *text.low : *text.high;
        text.message = fmt::format("{}: {} is {} {}", kNames[which], shown(sum, passed, 2),
                                   below ? "below" : "above", passed);
        return text;
    }
};

} // namespace

const Rule& rule_sum_off() {
    static const SumOff rule;
    return rule;
}

} // namespace thresh::rules

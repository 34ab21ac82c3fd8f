// sum-off: parts of a reading that do not add up to what they must. Which sum is looked at depends on which
// constituents were read; predictions that are each in range may still not fit together.
#include "rules/cell_windows.hpp"
#include "rules/limits.hpp"

#include <thresh/core/nothing.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

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

using Ids = std::initializer_list<ConstituentId>;

// The long-chain acids decide whether all that matter were read: in peanut they make 5 to 8 % of the oil.
constexpr Ids kLongAcids = {arachidic, gondoic, behenic, lignoceric};
constexpr Ids kAllAcids = {palmitic, stearic, oleic, linoleic, arachidic, gondoic, behenic, lignoceric};
constexpr Ids kMoreAcids = {palmitoleic, linolenic, erucic};
constexpr Ids kMainAcids = {palmitic, stearic, oleic, linoleic};
constexpr Ids kBesideMain = {palmitoleic, linolenic, arachidic, gondoic, behenic, erucic, lignoceric};
constexpr Ids kMainParts = {moisture, protein, oil, ash};
constexpr Ids kAllParts = {moisture, protein, oil, ash, fiber, starch, constituent::sugars};
constexpr Ids kTotalAndMain = {constituent::sugars, sucrose};
constexpr Ids kSingleSugars = {raffinose, stachyose, verbascose, glucose, fructose};
// Without tryptophan and cysteine, which are often left out, the sum is still near enough (under 4 %).
constexpr Ids kAcidsOfProtein = {protein,       lysine,        methionine, threonine,     arginine, leucine,
                                 isoleucine,    valine,        histidine,  phenylalanine, tyrosine, alanine,
                                 aspartic_acid, glutamic_acid, glycine,    proline,       serine};
constexpr Ids kMoreOfProtein = {tryptophan, cysteine};

// What a sum cannot do without, what it takes along, and what all of it is a share of.
struct Summands {
    Ids needed, more;
    PartOf part;
};
constexpr Summands kSummands[kSums] = {{kAllAcids, kMoreAcids, PartOf::oil},
                                       {kMainAcids, kBesideMain, PartOf::oil},
                                       {kMainParts, {}, PartOf::sample},
                                       {kAllParts, {}, PartOf::sample},
                                       {kTotalAndMain, kSingleSugars, PartOf::sample},
                                       {kAcidsOfProtein, kMoreOfProtein, PartOf::sample}};

// Which sums a table can have, where its summands stand, and room for a row's numbers; made once for all rows
// of a block.
class Columns {
  public:
    explicit Columns(const TableColumns& table) : as_is_(table, Basis::as_is()) {
        slot_.fill(kNone);
        std::array<std::uint32_t, kBuiltInCount> column_of{};
        column_of.fill(kNone);
        for (std::size_t c = table.numbers.size(); c-- > 0;)
            if (table.numbers[c].constituent < kBuiltInCount)
                column_of[table.numbers[c].constituent] = static_cast<std::uint32_t>(c);
        for (std::size_t which = 0; which < kSums; ++which) {
            const Summands& of = kSummands[which];
            const auto there = [&](ConstituentId id) {
                const std::uint32_t column = column_of[id];
                return column != kNone && table.numbers[column].part_of == of.part;
            };
            possible_[which] = std::all_of(of.needed.begin(), of.needed.end(), there);
            if (!possible_[which])
                continue;
            for (const Ids ids : {of.needed, of.more})
                for (const ConstituentId id : ids)
                    if (there(id) && slot_[id] == kNone) {
                        slot_[id] = static_cast<std::uint32_t>(columns_.size());
                        columns_.push_back(column_of[id]);
                    }
        }
        values_.resize(columns_.size() + 1, kNothing); // the last stays without a number
        for (std::uint32_t& slot : slot_)
            slot = std::min(slot, static_cast<std::uint32_t>(columns_.size()));
    }
    bool possible(std::size_t which) const { return possible_[which]; }
    // Where summands stand in the table, those that do.
    std::vector<std::uint32_t> columns_of(const Ids& ids) const {
        std::vector<std::uint32_t> found;
        for (const ConstituentId id : ids)
            if (slot_[id] < columns_.size())
                found.push_back(columns_[slot_[id]]);
        return found;
    }
    bool any() const { return !columns_.empty(); }
    // The numbers of a reading, as read and on its moisture.
    void take(const Block& block, std::size_t row) {
        as_is_.convert_some(block, row, columns_, values_.data());
    }
    // NaN where there is none.
    double operator()(ConstituentId id) const { return values_[slot_[id]]; }

  private:
    basis::Plan as_is_;
    std::array<bool, kSums> possible_{};
    std::vector<std::uint32_t> columns_;              // of the summands
    std::array<std::uint32_t, kBuiltInCount> slot_{}; // into values_, by constituent
    std::vector<double> values_;
};

// The same numbers for one sum of one reading, which is not worth making ready a table for.
class OneReading {
  public:
    OneReading(const Block& block, std::size_t row, Which which) : which_(which) {
        values_.fill(kNothing);
        const Summands& of = kSummands[which];
        std::array<bool, kBuiltInCount> wanted{};
        for (const Ids ids : {of.needed, of.more})
            for (const ConstituentId id : ids)
                wanted[id] = true;
        std::array<bool, kBuiltInCount> there{};
        const auto moisture_there = basis::moisture_of(block, row);
        const std::vector<Column>& columns = block.table->numbers;
        for (std::size_t c = 0; c < columns.size(); ++c) {
            const ConstituentId id = columns[c].constituent;
            if (id >= kBuiltInCount || !wanted[id] || columns[c].part_of != of.part)
                continue;
            there[id] = true;
            auto value = basis::raw_value(block, row, c);
            if (value && of.part == PartOf::sample && id != moisture)
                value = basis::restate(*value, columns[c].basis, Basis::as_is(), moisture_there);
            if (value)
                values_[id] = *value;
        }
        possible_ =
            std::all_of(of.needed.begin(), of.needed.end(), [&](ConstituentId id) { return there[id]; });
    }
    bool possible(std::size_t which) const { return which == which_ && possible_; }
    // NaN where there is none, or it is no summand.
    double operator()(ConstituentId id) const { return values_[id]; }

  private:
    Which which_;
    bool possible_;
    std::array<double, kBuiltInCount> values_;
};

// NaN unless all of `needed` are there.
template <typename Row>
double sum(const Row& row, const Ids& needed, const Ids& more) {
    double total = 0;
    for (const ConstituentId id : needed)
        total += row(id);
    for (const ConstituentId id : more)
        total += std::isnan(row(id)) ? 0 : row(id);
    return total;
}

template <typename Row>
double amino_acid_ratio(const Row& row, double nitrogen_factor) {
    const double whole = row(protein);
    if (!(whole > 0))
        return kNothing;
    double total = 0;
    for (const ConstituentId id : kAcidsOfProtein)
        total += id == protein ? 0 : row(id);
    for (const ConstituentId id : kMoreOfProtein)
        total += std::isnan(row(id)) ? 0 : row(id);
    return total / basis::protein_with_factor(whole, nitrogen_factor, 6.25);
}

// NaN where the reading or its table has not all that a sum needs.
template <typename Row>
double sum_of(const Evidence& evidence, const Row& row, std::size_t which) {
    if (!row.possible(which))
        return kNothing;
    switch (which) {
    case kMainFattyAcids:
        // With all of the long ones read it is the other sum that counts.
        if (std::none_of(kLongAcids.begin(), kLongAcids.end(),
                         [&](ConstituentId id) { return std::isnan(row(id)); }))
            return kNothing;
        break;
    case kSugars:
        return sum(row, {sucrose}, kSingleSugars) - row(constituent::sugars);
    case kAminoAcids:
        return amino_acid_ratio(row, evidence.rules.nitrogen_factor);
    default:
        break;
    }
    return sum(row, kSummands[which].needed, kSummands[which].more);
}

// Hold nearly every reading whose sums are all as they must be, or cannot be made.
std::optional<std::vector<SumWindow>> windows_of(const Block& block, std::size_t first,
                                                 const Columns& columns, const Sums& limits) {
    const auto as_read = [&](std::uint32_t c) {
        const Column& column = block.table->numbers[c];
        return column.part_of != PartOf::sample || column.constituent == moisture ||
               column.basis.kind != Basis::Kind::fixed;
    };
    std::vector<SumWindow> windows;
    for (std::size_t which = 0; which < kSums; ++which) {
        if (!columns.possible(which))
            continue;
        const std::vector<std::uint32_t> needed = columns.columns_of(kSummands[which].needed),
                                         more = columns.columns_of(kSummands[which].more);
        // The other two are no plain sums; on another basis a sum hangs on the reading's moisture.
        if (which == kSugars || which == kAminoAcids || !std::all_of(needed.begin(), needed.end(), as_read) ||
            !std::all_of(more.begin(), more.end(), as_read))
            return std::nullopt;
        constexpr double kOpen = std::numeric_limits<double>::infinity();
        const SumLimit& limit = limit_of(limits, static_cast<Which>(which));
        windows.emplace_back(block, first, needed, more,
                             std::max(limit.low.value_or(-kOpen), limit.note_low.value_or(-kOpen)),
                             std::min(limit.high.value_or(kOpen), limit.note_high.value_or(kOpen)));
    }
    return windows;
}

bool outside(double sum, const std::optional<double>& low, const std::optional<double>& high) {
    return (low && sum < *low) || (high && sum > *high);
}

class SumOff final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool folds() const override { return true; }

    // Detail: which sum.
    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        const bool told = evidence.others != nullptr && evidence.others->sums_told;
        if (told && evidence.others->sums.empty())
            return;
        Columns columns(*block.table);
        if (!columns.any())
            return;
        const bool many = (told ? evidence.others->sums.size() : last - first) >= kManyRows;
        std::uint8_t current = batch::kNoMaterial;
        const Material* material = nullptr;
        std::optional<std::vector<SumWindow>> windows;
        const auto look = [&](std::size_t row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                return;
            if (evidence.batch.material[id] != current) {
                current = evidence.batch.material[id];
                material = evidence.rules.material(current);
                windows = material != nullptr && many ? windows_of(block, row, columns, material->sums)
                                                      : std::nullopt;
            }
            const auto holds = [&](const SumWindow& window) { return window.holds(block, row); };
            if (material == nullptr || (windows && std::all_of(windows->begin(), windows->end(), holds)))
                return;
            columns.take(block, row);
            for (std::uint32_t which = 0; which < kSums; ++which) {
                const double sum = sum_of(evidence, columns, which); // NaN is on neither side
                const SumLimit& limit = limit_of(material->sums, static_cast<Which>(which));
                if (outside(sum, limit.low, limit.high))
                    sink.reading(0, id, {}, which);
                else if (outside(sum, limit.note_low, limit.note_high))
                    sink.reading(0, id, sink.at_most(0, Severity::note), which);
            }
        };
        if (told)
            std::for_each(evidence.others->sums.begin(), evidence.others->sums.end(), look);
        else
            for (std::size_t row = first; row < last; ++row)
                look(row);
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const Block& block = evidence.batch.block_of(finding.row);
        const auto which = static_cast<Which>(finding.detail);
        const Material& material = *evidence.rules.material(evidence.batch.material[finding.row]);
        const SumLimit& limit = limit_of(material.sums, which);
        const OneReading reading(block, evidence.batch.in_block(finding.row), which);
        const double sum = sum_of(evidence, reading, which);
        const bool mild = !outside(sum, limit.low, limit.high); // whatever options made of it
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

std::optional<std::vector<SumWindow>> sum_windows(const Block& block, std::size_t first, const Sums& limits) {
    return windows_of(block, first, Columns(*block.table), limits);
}

const Rule& rule_sum_off() {
    static const SumOff rule;
    return rule;
}

} // namespace thresh::rules

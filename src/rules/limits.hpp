// Shared by the rules about single values: which range applies to a reading, and a walk over all values that
// lie outside theirs.
#pragma once

#include "rules/cell_windows.hpp"
#include "rules/rule.hpp"

#include <fmt/format.h>
#include <memory>
#include <thresh/basis/convert.hpp>
#include <thresh/basis/values.hpp>

namespace thresh::rules {

inline bool is_seed(const Evidence& evidence, RowId row) {
    return evidence.batch.kind[row] == Kind::seed;
}

// The list's row for a reading's sample; kNone when it is not listed.
std::uint32_t entry_of(const Evidence& evidence, RowId row);
// What the list states of a reading's sample; empty when nothing.
inline std::string_view listed(const Evidence& evidence, RowId row, batch::ListText which) {
    return evidence.batch.list.text(entry_of(evidence, row), which);
}

// The range of `ranges` for a reading: the one for its listed oil type, else the one for any; only ranges of
// the column's own kind of share. Null when none applies.
const Range* range_for(const std::vector<Range>& ranges, const Column& column, std::string_view oil_type);

// A value on a range's basis; nothing when the cell holds no number or the moisture it needs is absent.
std::optional<double> on_range_basis(const Block& block, std::size_t row, std::size_t column,
                                     const Range& range, std::optional<double> moisture);

// The ranges of one kind made ready for a table and material: what a raw value is multiplied by, and between
// which bounds the product may lie. Where the sample list names oil types, columns with ranges by oil type
// are left to the exact way.
class RangePlan {
  public:
    RangePlan(const TableColumns& table, const Material& material, Ranges Material::*which, bool oil_types);
    // Narrows windows for rows of `block` so that what holds a row has nothing that scan() would call
    // `outside` for.
    void narrow(RowWindows& windows, const Block& block) const;

    // Calls outside(column, value on the range's basis, range) for every value of the row beyond its range.
    template <typename Outside>
    void scan(const Evidence& evidence, const Block& block, std::size_t row, std::optional<double> moisture,
              const Outside& outside) {
        const bool usual = moisture && *moisture >= kUsualLow && *moisture <= kUsualHigh;
        bool factors_set = false;
        for (const Entry& entry : columns_) {
            if ((usual || !entry.only_usual) && entry.window.holds(block.cell(row, entry.column)))
                continue;
            const std::optional<double> raw = basis::raw_value(block, row, entry.column);
            if (!raw)
                continue;
            if (!factors_set)
                set_factors(moisture);
            factors_set = true;
            if (entry.range != nullptr) {
                // NaN (moisture needed and absent) is on neither side.
                const double value = entry.slot == kKeep ? *raw : *raw * slots_[entry.slot].factor;
                if (value < entry.low || value > entry.high)
                    outside(entry.column, value, *entry.range);
                continue;
            }
            const Range* range =
                range_for(*entry.ranges, block.table->numbers[entry.column],
                          listed(evidence, static_cast<RowId>(block.first + row), batch::ListText::oil_type));
            const auto value =
                range != nullptr ? on_range_basis(block, row, entry.column, *range, moisture) : std::nullopt;
            if (value && ((range->low && *value < *range->low) || (range->high && *value > *range->high)))
                outside(entry.column, *value, *range);
        }
    }

  private:
    static constexpr std::size_t kKeep = static_cast<std::size_t>(-1);
    // A conversion that several columns share: from `stated` to `wanted`, one of them perhaps as-is.
    struct Slot {
        Basis stated, wanted;
        double factor;
    };
    struct Entry {
        std::size_t column;
        const std::vector<Range>* ranges;
        const Range* range; // the only one that can apply; null: depends on the oil type
        double low, high;
        std::size_t slot;
        CellWindow window;       // of `range`, for every factor it can have
        bool only_usual = false; // at usual moistures; at others its factor may be another
    };
    // Nearly every reading lies between, and every factor between those of the two.
    static constexpr double kUsualLow = 4, kUsualHigh = 10;
    std::size_t slot_for(Basis stated, Basis wanted);
    void set_factors(std::optional<double> moisture);
    std::vector<Entry> columns_;
    std::vector<Slot> slots_;
};

class PlainRows;

// Windows, which take some making, pay where so many rows are looked at.
inline constexpr std::size_t kManyRows = 64;

// What is made ready for a table and a material, kept by one thread for the blocks to come: many small files
// have blocks of few rows and mostly one heading. A reference that is given lasts until the next one is asked
// for.
class ReadyMade {
  public:
    RangePlan& plan(const TableColumns& table, const Material& material, Ranges Material::*which,
                    bool oil_types);
    // Made by `make` for a table and material where a block's columns have these decimals.
    struct Plain {
        std::shared_ptr<const PlainRows> rows;
        bool sums_told = true;
    };
    template <typename Make>
    Plain plain(const TableColumns& table, const Material* material, std::vector<unsigned> decimals,
                const Make& make) {
        for (const PlainEntry& made : plain_)
            if (made.table == &table && made.material == material && made.decimals == decimals)
                return made.plain;
        if (plain_.size() == kMostKept)
            plain_.clear();
        return plain_.emplace_back(PlainEntry{&table, material, std::move(decimals), make()}).plain;
    }

  private:
    static constexpr std::size_t kMostKept = 64;
    struct PlanEntry {
        const TableColumns* table;
        const Material* material;
        Ranges Material::*which;
        std::unique_ptr<RangePlan> plan;
    };
    struct PlainEntry {
        const TableColumns* table;
        const Material* material;
        std::vector<unsigned> decimals;
        Plain plain;
    };
    std::vector<PlanEntry> plans_;
    std::vector<PlainEntry> plain_;
};

// Calls outside(RowId, column index, value on the range's basis, range) for every value of a seed reading
// beyond the range that applies to it. `which`: &Material::expected, ...
template <typename Outside>
void scan_ranges(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                 Ranges Material::*which, const Outside& outside) {
    // Rows of a block nearly always share their material.
    std::uint8_t current = batch::kNoMaterial;
    ReadyMade own;
    ReadyMade& ready = evidence.ready != nullptr ? *evidence.ready : own;
    RangePlan* plan = nullptr;
    const bool many = (evidence.others != nullptr ? evidence.others->rows.size() : last - first) >= kManyRows;
    std::optional<RowWindows> windows;
    const basis::MoistureOf moisture_at(block);
    for_other_rows(evidence, first, last, [&](std::size_t row) {
        const auto id = static_cast<RowId>(block.first + row);
        if (!is_seed(evidence, id) || evidence.batch.material[id] == batch::kNoMaterial)
            return;
        if (evidence.batch.material[id] != current) {
            current = evidence.batch.material[id];
            const Material* material = evidence.rules.material(current);
            plan = material == nullptr
                       ? nullptr
                       : &ready.plan(*block.table, *material, which, evidence.batch.has_oil_types);
            if (plan != nullptr && many) {
                windows.emplace(block, row);
                plan->narrow(*windows, block);
            }
        }
        if (plan != nullptr && !(many && windows->hold(block, row)))
            plan->scan(evidence, block, row, moisture_at(row),
                       [&](std::size_t column, double value, const Range& range) {
                           outside(id, column, value, range);
                       });
    });
}

// Of the rows [begin, end) of a block.
OtherRows other_rows(const Evidence& evidence, const Block& block, std::size_t begin, std::size_t end);

// Where they hold a row from `first` on, no sum is off in it; nothing where the table has a sum that such
// windows cannot tell.
std::optional<std::vector<SumWindow>> sum_windows(const Block& block, std::size_t first, const Sums& limits);

// The words for a value outside `range`: value, low, high and basis filled in.
FindingText outside_range_text(const Finding& finding, const Evidence& evidence, Ranges Material::*which,
                               std::string_view what_range);

// Whether a value is impossible-value (told by that rule, so no other says it again).
bool impossible(const Evidence& evidence, const Block& block, std::size_t row, std::size_t column);

// A value with so many decimals (at least `decimals`) that it does not look equal to the limit it passed.
std::string shown(double value, std::optional<double> limit, unsigned decimals);

// The moisture of a reading, the number of one of its cells as exported (percent).
std::optional<double> moisture_of(const Evidence& evidence, RowId row);
std::optional<double> raw_of(const Evidence& evidence, RowId row, ConstituentId constituent);
// A cell as it was exported, for words; empty when missing.
std::string exported_text(const Evidence& evidence, RowId row, ConstituentId constituent);

} // namespace thresh::rules

// Shared by the rules about single values: which range applies to a reading, and a walk over all values that
// lie outside theirs.
#pragma once

#include "rules/rule.hpp"

#include <fmt/format.h>
#include <thresh/basis/convert.hpp>
#include <thresh/basis/values.hpp>

namespace thresh::rules {

inline bool is_seed(const Evidence& evidence, RowId row) {
    return evidence.batch.kind[row] == Kind::seed;
}

// The list entry of a reading's sample; null when it is not listed.
const batch::ListEntry* entry_of(const Evidence& evidence, RowId row);

// The range of `ranges` for the reading: the one for its listed oil type, else the one for any; only ranges
// of the column's own kind of share. Null when none applies.
const Range* range_for(const std::vector<Range>& ranges, const Column& column, const batch::ListEntry* entry);

// A value on a range's basis; nothing when the cell holds no number or the moisture it needs is absent.
std::optional<double> on_range_basis(const Block& block, std::size_t row, std::size_t column,
                                     const Range& range, std::optional<double> moisture);

// Calls outside(RowId, column index, value on the range's basis, range) for every value of a seed reading
// beyond the range that applies to it. `which`: &Material::expected, ...
template <typename Outside>
void scan_ranges(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                 Ranges Material::*which, const Outside& outside) {
    const auto& columns = block.table->numbers;
    // The ranges of each column for one material; rows of a block nearly always share it.
    std::uint8_t current = batch::kNoMaterial;
    std::vector<const std::vector<Range>*> ranges(columns.size(), nullptr);
    bool any = false;
    const basis::MoistureOf moisture_at(block);
    for (std::size_t row = first; row < last; ++row) {
        const auto id = static_cast<RowId>(block.first + row);
        if (!is_seed(evidence, id) || evidence.batch.material[id] == batch::kNoMaterial)
            continue;
        if (evidence.batch.material[id] != current) {
            current = evidence.batch.material[id];
            const Material* material = evidence.rules.material(current);
            any = false;
            for (std::size_t c = 0; c < columns.size(); ++c) {
                ranges[c] = nullptr;
                if (material == nullptr)
                    continue;
                const auto at = (material->*which).find(columns[c].constituent);
                if (at != (material->*which).end() && columns[c].constituent != constituent::moisture)
                    ranges[c] = &at->second;
                any = any || ranges[c] != nullptr;
            }
        }
        if (!any)
            continue;
        const batch::ListEntry* entry = entry_of(evidence, id);
        const std::optional<double> moisture = moisture_at(row);
        for (std::size_t c = 0; c < columns.size(); ++c) {
            if (ranges[c] == nullptr)
                continue;
            const Range* range = range_for(*ranges[c], columns[c], entry);
            if (range == nullptr)
                continue;
            const std::optional<double> value = on_range_basis(block, row, c, *range, moisture);
            if (!value ||
                ((!range->low || *value >= *range->low) && (!range->high || *value <= *range->high)))
                continue;
            outside(id, c, *value, *range);
        }
    }
}

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

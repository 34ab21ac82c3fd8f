// Corrections of the rules file (`adjust`): which one holds for a value, and the corrected value.
#pragma once

#include <thresh/summary/tables.hpp>

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace thresh::summary {

// Such an entry keeps those behind it away.
inline bool changes_nothing(const rules::Adjustment& entry) {
    return entry.intercept == 0 && entry.slope == 1;
}

// The first correction in the file's order whose instrument, oil type and dates fit holds; never two. A
// reading without a time lies within no dates. Findings are about values as read; what is corrected are the
// numbers of tables and means.
class Adjuster {
  public:
    explicit Adjuster(const Season& season);

    // Whether the rules correct anything of the season's materials at all.
    bool active() const { return active_; }
    // Null when the value stands as read.
    const rules::Adjustment* find(RowId row, ConstituentId id) const;
    // Corrects a reading's values, which stand on `wanted` (moisture as read); value slot_of(id) is that of a
    // constituent, where it has one. A corrected moisture is what conversions rest on: `moisture` is it,
    // where there is one. NaN stays NaN.
    void apply(RowId row, Basis wanted, double moisture, std::span<const PartOf> parts,
               std::span<const std::size_t> slot_of, double* values) const;
    // The moisture that conversions of the reading rest on, where the rules correct it; nothing elsewhere.
    std::optional<double> moisture(RowId row) const;
    // Names of the constituents whose values are corrected in any of the rows that the caller adds.
    void add_names(RowId row, std::vector<bool>& by_constituent) const;
    std::string names(const std::vector<bool>& by_constituent) const; // joined by ;

  private:
    bool corrects(std::uint8_t material) const {
        return material < by_material_.size() && by_material_[material];
    }
    Season season_;
    std::vector<bool> by_material_; // batch material index
    bool active_ = false;
};

} // namespace thresh::summary

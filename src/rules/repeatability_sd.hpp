// Which repeatability standard deviation is in force for a material and constituent, and where it came from.
#pragma once

#include "rules/key_values.hpp"
#include "rules/rule.hpp"

#include <map>
#include <thresh/basis/values.hpp>

namespace thresh::rules {

using SdKey = std::pair<std::uint8_t, ConstituentId>; // material index, constituent

// Usable readings of a sample in one session and material, at least two of them.
struct RepeatGroup {
    std::uint32_t sample, session;
    std::uint8_t material;
    std::uint32_t first, last; // its rows in RepeatPiece::rows
};
// The groups of some successive samples.
struct RepeatPiece {
    std::vector<RepeatGroup> groups; // in order of sample, session, material
    std::vector<RowId> rows;         // group by group
    // Of each group and key constituent of its material: comparable values, and their range; only groups with
    // at least two have one.
    std::size_t width = 0; // most key constituents of any material
    std::vector<std::uint32_t> n;
    std::vector<double> range;
    std::size_t place(std::size_t group, std::size_t key) const { return group * width + key; }
    std::span<const RowId> rows_of(const RepeatGroup& group) const {
        return std::span(rows).subspan(group.first, group.last - group.first);
    }
};
using RepeatGroups = std::vector<RepeatPiece>; // in order of samples; their cut does not depend on threads

// What the rules of the phase `repeats` share.
struct RepeatEvidence {
    explicit RepeatEvidence(const Evidence& evidence); // with its key_values
    RepeatGroups groups;
    // A rules file's own value first; else the season's, from samples read again within a session, when there
    // are enough of them (`repeats_own_sd`); else the built-in one. Nothing where none is known.
    std::map<SdKey, RepeatabilitySd> in_force;
};

// The value of a reading for comparing it with its repeats: shares of the sample on dry basis, everything
// else (moisture too) as read. Nothing when absent, marked to be excluded, or its moisture is absent.
// Columns are looked up once a table, so one object serves many rows of one constituent.
class ComparableValues {
  public:
    ComparableValues(const Evidence& evidence, ConstituentId constituent)
        : evidence_(evidence), constituent_(constituent) {}

    std::optional<double> operator()(RowId row) {
        const Block& block = evidence_.batch.block_of(row);
        if (block.table.get() != table_)
            look_up(*block.table);
        if (!column_ ||
            (evidence_.so_far.has_marks(row) && evidence_.so_far.mark(row, constituent_) == Mark::exclude))
            return std::nullopt;
        return value(block, row - block.first);
    }

  private:
    void look_up(const TableColumns& table);
    std::optional<double> value(const Block& block, std::size_t row) const;

    const Evidence& evidence_;
    ConstituentId constituent_;
    const TableColumns* table_ = nullptr; // that the columns below belong to
    std::optional<std::size_t> column_, moisture_;
    bool as_read_ = false; // not converted
};

} // namespace thresh::rules

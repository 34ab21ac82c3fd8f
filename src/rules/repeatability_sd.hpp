// Which repeatability standard deviation is in force for a material and constituent, and where it came from.
#pragma once

#include "rules/key_values.hpp"
#include "rules/rule.hpp"

#include <limits>
#include <map>
#include <set>
#include <thresh/basis/values.hpp>

namespace thresh::rules {

using SdKey = std::pair<std::uint8_t, ConstituentId>; // material index, constituent

// Usable readings of a sample in one session and material, at least two of them. Ten million readings have
// millions of groups, so a group tells only its first reading; repeated_rows() finds the others again.
struct RepeatGroup {
    std::uint16_t sample; // counted from the piece's first
    std::uint8_t material;
    RowId first; // its first reading, in canonical order; the session is that reading's
};
// The groups of some successive samples.
class RepeatPiece {
  public:
    static constexpr std::uint32_t kSamples = 8192; // so many at most
    std::uint32_t first_sample = 0;
    std::vector<RepeatGroup> groups; // in order of sample, session, material
    std::size_t width = 0;           // most key constituents of any material

    std::uint32_t sample_of(const RepeatGroup& group) const { return first_sample + group.sample; }
    // How many comparable values a group has of a key constituent of its material, and their range where they
    // are two at least.
    std::uint32_t n(std::size_t group, std::size_t key) const {
        const std::size_t at = group * width + key;
        return n_[at] < kMany ? n_[at] : many_.at(at);
    }
    double range(std::size_t group, std::size_t key) const { return range_[group * width + key]; }
    // Of the last group, key by key.
    void add_spread(std::uint32_t n, double range);
    // Room for so many groups. What is never written to takes no memory.
    void reserve(std::size_t most);

  private:
    static constexpr std::uint16_t kMany = std::numeric_limits<std::uint16_t>::max();
    static_assert(kSamples - 1 <= std::numeric_limits<std::uint16_t>::max());
    std::vector<std::uint16_t> n_; // kMany: too many for two bytes, then in many_
    std::map<std::size_t, std::uint32_t> many_;
    std::vector<double> range_;
};
using RepeatGroups = std::vector<RepeatPiece>; // in order of samples; their cut does not depend on threads
// The readings of a group of a sample, in canonical order.
std::vector<RowId> repeated_rows(const Evidence& evidence, std::uint32_t sample, const RepeatGroup& group);

// Every material and number of values, two at least, that some group has of some key constituent.
using RepeatCounts = std::set<std::pair<std::uint8_t, std::uint32_t>>;

// What the rules of the phase `repeats` share.
struct RepeatEvidence {
    explicit RepeatEvidence(const Evidence& evidence); // with its key_values
    RepeatGroups groups;
    RepeatCounts counts; // of the groups
    // A rules file's own value first; else the season's, from samples read again within a session, when there
    // are enough of them (`repeats_own_sd`); else the built-in one. Nothing where none is known.
    std::map<SdKey, RepeatabilitySd> in_force;
};

// The value of a reading for comparing it with its repeats: shares of the sample on dry basis, everything
// else (moisture too) as read. Nothing when absent, of another share than in results, marked to be excluded,
// or its moisture is absent. Columns are looked up once a table, so one object serves many rows of one
// constituent.
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

// The numbers of one reading on the basis that its material is wanted on, derived constituents included: what
// every table shows and every mean is made of.
#pragma once

#include "summary/adjuster.hpp"
#include "summary/row_states.hpp"

#include <thresh/basis/derived.hpp>
#include <thresh/basis/values.hpp>
#include <thresh/core/nothing.hpp>
#include <thresh/summary/tables.hpp>

#include <array>
#include <string>
#include <unordered_map>
#include <vector>

namespace thresh::summary {

inline constexpr std::size_t kNoSlot = basis::kNoPlace;

class ReadingValues {
  public:
    explicit ReadingValues(const Season& season);

    const std::vector<ConstituentId>& constituents() const { return constituents_; }
    std::size_t slots() const { return constituents_.size(); }
    std::size_t slot_of(ConstituentId id) const { return id < slot_.size() ? slot_[id] : kNoSlot; }
    PartOf part_of(ConstituentId id) const { return parts_[id]; }

    // Where one table's values are worked out: its columns as they stand, behind them what is derived. Sums
    // may be made there too; they are carried over to slots once.
    struct Place {
        std::uint32_t at, slot;
    };
    struct Layout {
        std::size_t width = 0;         // room for a reading, a multiple of 8
        std::vector<Place> places;     // of what is a value of the season, each slot at most once
        std::vector<std::uint32_t> at; // by slot: its place; kNone without one, as ratios, which are of means
    };

    // Room for one thread.
    struct Scratch {
        std::vector<double> values, inputs;
        std::vector<rules::FormulaValue> traits; // by trait of the rules
    };
    Scratch scratch() const;

    // values[slot] of a reading; NaN where there is none. Ratios stay NaN: they are of means.
    //   usable  without values whose own mark is exclude; derived ones from what is left
    //   all     the values read and converted, excluded ones too, nothing derived
    //   certain usable, without values whose own mark is review
    void usable(RowId row, Scratch& scratch, double* values) const {
        spread(usable_in_layout(row, RowState(season_, row), scratch), values);
    }
    void all(RowId row, Scratch& scratch, double* values) const {
        spread(fill(row, RowState(season_, row), scratch, std::nullopt), values);
    }
    // The same in the layout of the reading's table, until the scratch is used again.
    struct InLayout {
        const Layout& layout;
        const double* values;
        double of(std::size_t slot) const {
            const std::uint32_t at = layout.at[slot];
            return at == kNone ? kNothing : values[at];
        }
    };
    InLayout usable_in_layout(RowId row, RowState state, Scratch& scratch) const {
        return fill(row, state, scratch, Mark::exclude);
    }
    InLayout certain_in_layout(RowId row, RowState state, Scratch& scratch) const {
        return fill(row, state, scratch, Mark::review);
    }
    void spread(const InLayout& from, double* values) const;

    // What a derived constituent or ratio is computed from.
    const std::vector<ConstituentId>& inputs_of(ConstituentId id) const;
    struct Ratio {
        std::size_t slot;
        std::vector<std::size_t> inputs; // slots
        std::vector<std::size_t> place;  // of basis::Inputs: no other value counts
        basis::Derivations derivation;
    };
    const std::vector<Ratio>& ratios() const { return ratios_; }
    // Sets a ratio from mean inputs, given the means of all slots; NaN where there is none.
    void set_ratio(const Ratio& ratio, std::span<double> means) const;

    Basis wanted(RowId row) const { return bases_[basis_of_material_[season_.batch.material[row]]]; }
    bool is_ratio(ConstituentId id) const { return season_.rules.constituents[id].group == Group::ratio; }
    // Computed per reading from others: a derived constituent or a trait of the rules.
    bool is_derived(ConstituentId id) const {
        const Group group = season_.rules.constituents[id].group;
        return group == Group::derived || group == Group::trait;
    }

    void prefetch(RowId row) const;

    // What the rules correct; values of this class are corrected.
    const Adjuster& adjuster() const { return adjuster_; }

  private:
    struct TableInfo {
        const TableColumns* table = nullptr;
        std::vector<bool> here;             // by ConstituentId: some column enters the season's values
        std::vector<ConstituentId> derived; // that the table has the inputs of
        std::vector<std::size_t> traits;    // of the rules, the same
        std::vector<basis::Plan> plans;     // by basis
        // When slots are known:
        Layout layout;
        std::vector<std::size_t> at;     // by ConstituentId: where it stands in the layout, else kNoSlot
        basis::Derivations derivations;  // of `derived`
        std::vector<std::uint32_t> made; // where `derived` and `traits` stand in the layout
    };
    struct BlockInfo {
        std::size_t end; // number of the first row behind it
        const Block* block;
        const TableInfo* table;
        std::size_t columns;
    };
    const BlockInfo& info_of(RowId row) const {
        const BlockInfo* info = blocks_.data() + season_.batch.block_hint[row / batch::Batch::kHintRows];
        while (row >= info->end)
            ++info;
        return *info;
    }
    void list_tables();
    // Whether a column's values are values of the season: not numbers about the reading, of the usual share.
    bool enters(const Column& column) const;
    void list_constituents();
    void list_slots();
    void lay_out(TableInfo& info);
    // Values with a mark of at least `drop` are left out; without it none is, and nothing is derived.
    InLayout fill(RowId row, RowState state, Scratch& scratch, std::optional<Mark> drop) const;
    using Marks = std::span<const rules::Judgement::ValueMark>;
    static void drop_marked(const TableInfo& info, Marks marks, Mark least, double* values);
    void compute_traits(const TableInfo& info, const basis::Inputs& inputs, Scratch& scratch,
                        double* values) const;

    Season season_;
    Adjuster adjuster_;
    std::vector<TableInfo> tables_;
    std::vector<BlockInfo> blocks_;
    std::vector<Basis> bases_; // the wanted ones, each once
    std::array<std::uint8_t, 256> basis_of_material_{};
    std::vector<ConstituentId> constituents_;
    std::vector<Ratio> ratios_;
    std::vector<std::size_t> slot_; // by id
    std::vector<PartOf> parts_;     // by id
};

// sample, oil, protein; empty for what is no share.
const char* part_text(PartOf part);

} // namespace thresh::summary

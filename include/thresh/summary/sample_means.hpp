// Means of samples in a material: what `samples`, `lines`, trials and comparisons start from.
#pragma once

#include <thresh/summary/tables.hpp>

#include <memory>
#include <string_view>
#include <vector>

namespace thresh::summary {

class ReadingValues;
class RowState;

// One sample in one material.
struct SampleNumbers {
    std::vector<double> mean;     // by slot; NaN where n is 0
    std::vector<std::uint32_t> n; // readings that the mean rests on; of a ratio: the smaller of its inputs'
    std::uint32_t readings = 0, used = 0, review = 0;
};

// Room for one thread's computations.
class Workspace;

class SampleMeans {
  public:
    explicit SampleMeans(const Season& season);
    ~SampleMeans();

    // The constituents of the season, in table order: read, derived, ratios, traits; a `slot` is an index
    // here.
    const std::vector<ConstituentId>& constituents() const;
    // What the season's values of a slot are a share of. Values of exports that state another share than the
    // constituent's usual one, where others state the usual one, cannot be averaged with them and are left
    // out (finding share-differs).
    PartOf part_of(std::size_t slot) const;
    // Basis that a slot's numbers stand on in a material; empty where none applies. Moisture is as-is.
    std::string basis_of(std::size_t slot, std::uint8_t material) const;

    // Every sample and material with a seed reading, listed at each call; order: material name, sample ID,
    // bytewise.
    struct Group {
        std::uint32_t sample;
        std::uint8_t material;
    };
    std::vector<Group> list_groups() const;

    // Which readings enter: the usable ones, or (where no reading of a sample is) the others, for a
    // provisional mean; `certain`: the usable ones without those, and without values, that are under review.
    enum class Of { usable, excluded, certain };
    // The numbers of a sample in a material; also for one without readings there. Precondition: one workspace
    // a thread.
    struct Each {
        std::vector<std::size_t> slots; // of which the values of single readings are wanted
        // Is given them: of every reading that entered, in canonical order, `slots` after `slots`; NaN where
        // it has none.
        std::vector<double> values;
    };
    void compute(Group group, Workspace& workspace, SampleNumbers& into, Of of = Of::usable,
                 Each* each = nullptr) const;
    std::unique_ptr<Workspace, void (*)(Workspace*)> workspace() const;
    // Asks for a sample's readings ahead of compute().
    void prefetch(std::uint32_t sample) const;

    // What is asked of every reading, by RowId.
    const std::vector<RowState>& states() const { return states_; }
    const Season& season() const { return season_; }
    const ReadingValues& values() const { return *values_; }

  private:
    Season season_;
    std::unique_ptr<const ReadingValues> values_;
    std::vector<RowState> states_;
};

} // namespace thresh::summary

// Whether two rows are the same reading, exported twice.
#pragma once

#include <thresh/batch/batch.hpp>

#include <utility>
#include <vector>

namespace thresh::batch {

enum class Sameness : std::uint8_t {
    different,
    same,   // one reading
    changed // one reading, but some value differs by more than the decimals shown explain
};

// What two rows are to each other.
struct Comparison {
    Sameness sameness = Sameness::different;
    bool first_has_more = false, second_has_more = false; // constituents that the other lacks
    // One of them shows more: constituents or decimals. Not told of a changed reading of another calibration,
    // where the calibration decides.
    bool uneven = false;
};

// How much a row shows; the greater one shows more.
struct Shown {
    unsigned constituents = 0, decimals = 0;
    auto operator<=>(const Shown&) const = default;
};

// How finely the times of each block can be trusted (by block): an export that shows :00 in every row shows
// no seconds, one that shows midnight in every row shows only days.
std::vector<Time::Precision> shown_precision(const Readings& readings);

// Compares rows that have the same sample ID (or both none).
//
// By identity: both times have seconds, and time, instrument and analysis are equal: the same reading, since
// an instrument does one at a time; but not when both have values and none of one constituent, for then
// nothing proves it, and one of two complementary exports would be lost. By values: where seconds, instrument
// or analysis are not shown by one of the two, everything that both show must be equal, values included, and
//   in one table  the rows must follow each other, with at least four decimals equal in all
//   else          minute known: at least one value is equal; only the day or nothing: four decimals in all
// because two packets of one sample read in one minute are two readings, and few coarse values may be equal
// by chance. Values are equal when the finer one rounds to the coarser; only constituents that both rows hold
// as numbers on one basis count.
class ReadingComparer {
  public:
    ReadingComparer(const Batch& batch, const std::vector<Time::Precision>& precision)
        : batch_(batch), precision_(precision) {}
    Comparison compare(RowId first, RowId second);
    // False where both have values and none of one constituent.
    bool have_in_common(RowId first, RowId second);
    Shown shown(RowId row) const;
    // A number that is equal for rows with exactly the same numbers, however columns are ordered; 0: no
    // numbers.
    std::uint64_t values_hash(RowId row) const;

  private:
    struct Values {
        unsigned shared = 0, decimals = 0;       // numbers in both, and the decimals that both show
        unsigned decimals_a = 0, decimals_b = 0; // of the shared numbers, as each shows them
        bool equal = true;
        // Measured constituents, on whatever basis: in both; and in one of them only.
        bool common = false, measured_a = false, measured_b = false;
        bool more_a = false, more_b = false; // anything that the other lacks
        // Both have values, and nothing by which the one could be known in the other.
        bool complementary() const { return !common && measured_a && measured_b; }
    };
    Values compare_values(const Block& a, std::size_t row_a, const Block& b, std::size_t row_b);
    void pair_columns(const TableColumns& a, const TableColumns& b);

    const Batch& batch_;
    const std::vector<Time::Precision>& precision_;
    // Columns of the two tables compared last: that hold one constituent, in one way or in two, and those
    // that only one table has.
    struct Pair {
        std::uint32_t a, b;
        bool one_way, measured;
    };
    struct Alone {
        std::uint32_t column;
        bool measured;
    };
    const TableColumns* table_a_ = nullptr;
    const TableColumns* table_b_ = nullptr;
    std::vector<Pair> pairs_;
    std::vector<Alone> alone_a_, alone_b_;
};

} // namespace thresh::batch

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

// How finely the times of each block can be trusted (by block): an export that shows :00 in every row shows
// no seconds, one that shows midnight in every row shows only days.
std::vector<Time::Precision> shown_precision(const Readings& readings);

// Compares rows that have the same sample ID (or both none).
//
// By identity: both times have seconds, and time, instrument and analysis are equal: the same reading, since
// an instrument does one at a time. By values: where seconds, instrument or analysis are not shown by one
// of the two, everything that both show must be equal, values included, and
//   in one table  the rows must follow each other, with at least four decimals equal in all
//   else          minute known: at least one value is equal; only the day or nothing: four decimals in all
// because two packets of one sample read in one minute are two readings, and few coarse values may be equal
// by chance. Values are equal when the finer one rounds to the coarser; only constituents that both rows hold
// as numbers on one basis count.
class ReadingComparer {
  public:
    ReadingComparer(const Batch& batch, const std::vector<Time::Precision>& precision)
        : batch_(batch), precision_(precision) {}
    Sameness compare(RowId first, RowId second);
    // A number that is equal for rows with exactly the same numbers, however columns are ordered; 0: no
    // numbers.
    std::uint64_t values_hash(RowId row) const;

  private:
    struct Values {
        unsigned shared = 0, decimals = 0; // numbers in both, and the decimals that both show
        bool equal = true;
    };
    Values compare_values(const Block& a, std::size_t row_a, const Block& b, std::size_t row_b);
    void pair_columns(const TableColumns& a, const TableColumns& b);

    const Batch& batch_;
    const std::vector<Time::Precision>& precision_;
    // Columns of the two tables compared last that hold one constituent in one way.
    const TableColumns* table_a_ = nullptr;
    const TableColumns* table_b_ = nullptr;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs_;
};

} // namespace thresh::batch

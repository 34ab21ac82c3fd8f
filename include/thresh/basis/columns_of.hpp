// A few columns of many readings at once: what rules compare by the million.
#pragma once

#include <thresh/core/readings.hpp>

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace thresh::basis {

// The same numbers as Plan(table, wanted).convert_some(), to the bit.
class ColumnsOf {
  public:
    // Precondition: `wanted` is a fixed moisture. `table` must outlive it.
    ColumnsOf(const TableColumns& table, Basis wanted, std::span<const ConstituentId> ids);

    // values[i * width + k], i counted from `first`: the number of ids[k], restated where it is a share of
    // the sample; NaN where there is none (no column, missing, doubtful, below limit, moisture needed and
    // absent). What else a row of `values` has room for is NaN too. Precondition: width >= number of ids.
    void convert(const Block& block, std::size_t first, std::size_t rows, std::size_t width,
                 double* values) const;

  private:
    static constexpr std::uint32_t kNoColumn = static_cast<std::uint32_t>(-1);
    struct Wanted {
        std::uint32_t column = kNoColumn;
        bool by_row = false; // its factor hangs on the reading's moisture
        double factor = 1;   // else this one
    };
    const TableColumns* table_;
    double percent_; // wanted
    std::vector<Wanted> wanted_;
    std::optional<std::size_t> moisture_; // column; nothing where no factor hangs on it
};

} // namespace thresh::basis

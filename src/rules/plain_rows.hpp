// Rows that no rule about single values or their sums needs to look at: nearly all, told by going over the
// cells of a block once.
#pragma once

#include "rules/cell_windows.hpp"
#include "rules/rule.hpp"

namespace thresh::rules {

class PlainRows {
  public:
    // Plain is a row that `windows` holds and, for its sums, in which all of `sums` hold too. Both were made
    // for the same first row of the same block.
    PlainRows(RowWindows windows, std::vector<SumWindow> sums);

    // Adds the rows of [first, last) that are not known to be plain.
    void find_others(const Block& block, std::size_t first, std::size_t last, OtherRows& others) const;
    // The same without wide registers.
    void find_others_plainly(const Block& block, std::size_t first, std::size_t last,
                             OtherRows& others) const;

  private:
    template <std::size_t kSums>
    void find_others_wide(const Block& block, std::size_t first, std::size_t last, OtherRows& others) const;

    RowWindows windows_;
    std::vector<SumWindow> sums_;
};

} // namespace thresh::rules

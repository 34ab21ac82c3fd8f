// How many values of each line have findings, by constituent: read off the findings once, in their order, and
// dealt out to lines, which costs far less than asking each reading of each line for its findings.
#pragma once

#include "summary/line_groups.hpp"

#include <thresh/summary/sample_means.hpp>

#include <span>
#include <vector>

namespace thresh::summary {

// By slot: values of a line's readings whose own findings ask for review or exclusion, whatever the verdict
// of their reading; and findings that place a value of a usable reading below and above its expected range.
struct FlagCounts {
    std::vector<std::uint32_t> flagged, low, high;
};

class LineFlags {
  public:
    LineFlags(const SampleMeans& means, const LineGroups& groups);
    // Of groups.groups[group]; every slot is written.
    void count(std::size_t group, FlagCounts& into) const;

  private:
    std::size_t slots_;
    std::vector<std::uint32_t> begin_;   // by group, into tallies_
    std::vector<std::uint32_t> tallies_; // slot and what is counted
};

// How a mean is shown: low or high when more than half of its values are beyond the expected range, review
// when any value is flagged.
Shown shown_mean(std::uint32_t low, std::uint32_t high, std::uint32_t flagged, std::uint32_t values);

} // namespace thresh::summary

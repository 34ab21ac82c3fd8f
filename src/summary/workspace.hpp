// Room for one thread's means.
#pragma once

#include "summary/reading_values.hpp"

namespace thresh::summary {

class Workspace {
  public:
    explicit Workspace(const ReadingValues& of)
        : scratch(of.scratch()), values(of.slots()), sum(scratch.values.size()), n(sum.size()) {}
    ReadingValues::Scratch scratch;
    std::vector<double> values; // by slot
    // As one table's values stand.
    std::vector<double> sum;
    std::vector<std::uint32_t> n;
};

// Sets the ratios of means from the other slots; n is the smallest of the inputs'.
void fill_ratios(const ReadingValues& values, std::vector<double>& mean, std::vector<std::uint32_t>& n);

} // namespace thresh::summary

// Room for one thread's means.
#pragma once

#include "summary/reading_values.hpp"

namespace thresh::summary {

class Workspace {
  public:
    explicit Workspace(const ReadingValues& of) : scratch(of.scratch()), values(of.slots()) {}
    ReadingValues::Scratch scratch;
    std::vector<double> values;
};

// Sets the ratios of means from the other slots; n is the smallest of the inputs'.
void fill_ratios(const ReadingValues& values, std::vector<double>& mean, std::vector<std::uint32_t>& n);

} // namespace thresh::summary

// A constituent may be exported as a share of the sample, of the oil or of the protein. Results hold one of
// them: means over shares of different things would be of nothing.
#pragma once

#include <thresh/core/constituent.hpp>
#include <thresh/core/readings.hpp>

#include <vector>

namespace thresh {

// What each constituent is a share of in results, by ConstituentId: as usual where any table states it so,
// else as the first table that has it.
std::vector<PartOf> shares_in_results(const Readings& readings, const ConstituentTable& constituents);

} // namespace thresh

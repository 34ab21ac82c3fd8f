// Sums of readings by slot, where NaN means that there is no value.
#pragma once

#include <cstddef>
#include <cstdint>

namespace thresh::summary {

// Adds the values that are there to their sums and counts. Every processor gives the same digits: wider
// registers add more slots at once, never one slot in another order.
void add_values(const double* value, std::size_t slots, double* sum, std::uint32_t* n);
// The same without wider registers; for tests.
void add_values_plainly(const double* value, std::size_t slots, double* sum, std::uint32_t* n);

} // namespace thresh::summary

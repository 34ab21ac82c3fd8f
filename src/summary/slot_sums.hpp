// Sums of readings by slot, where NaN means that there is no value.
#pragma once

#include <cstddef>
#include <cstdint>

namespace thresh::summary {

// Every processor gives the same digits: wider registers take more slots at once, never one slot in another
// order. The plain twins are for processors without them and for tests.

// Adds the values that are there to their sums and counts.
void add_values(const double* value, std::size_t slots, double* sum, std::uint32_t* n);
void add_values_plainly(const double* value, std::size_t slots, double* sum, std::uint32_t* n);

// Makes means of sums, NaN where n is 0. Precondition: no n above 2^31 - 1.
void divide_sums(const std::uint32_t* n, std::size_t slots, double* sum);
void divide_sums_plainly(const std::uint32_t* n, std::size_t slots, double* sum);

// Adds to `squares` the squared distances from `mean` of the values that are there.
void add_squares(const double* value, const double* mean, std::size_t slots, double* squares);
void add_squares_plainly(const double* value, const double* mean, std::size_t slots, double* squares);

} // namespace thresh::summary

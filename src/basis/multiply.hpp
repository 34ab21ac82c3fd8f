// Many cells to numbers at once.
#pragma once

#include <thresh/core/cell.hpp>

#include <cstddef>
#include <cstdint>

namespace thresh::basis {

// values[i] = the number of cells[i] (NaN where it is no decimal) times factors[factor_of[i]]. True when some
// cell may have its number beside it (Cell::beside).
bool multiply(const Cell* cells, const std::uint32_t* factor_of, const double* factors, std::size_t count,
              double* values);

// The same one by one, for processors without AVX2 and for tests.
bool multiply_plainly(const Cell* cells, const std::uint32_t* factor_of, const double* factors,
                      std::size_t count, double* values);

} // namespace thresh::basis

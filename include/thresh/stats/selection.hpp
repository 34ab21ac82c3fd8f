// Choosing samples that span what was measured, for wet chemistry.
#pragma once

#include <cstddef>
#include <span>
#include <thresh/core/result.hpp>
#include <vector>

namespace thresh::stats {

// Values of `rows` samples in `columns` variables, row after row.
struct Table {
    std::vector<double> values;
    std::size_t rows = 0;
    std::size_t columns = 0;
    double at(std::size_t row, std::size_t column) const { return values[row * columns + column]; }
};

// Each column centred to mean 0 and scaled to SD 1; a constant column becomes 0.
Table standardized(const Table& table);

// One pick, in the order of picking.
struct Pick {
    std::size_t row = 0;
    double distance = 0.0;   // to the nearest sample picked before it; for the first two, to each other
    std::size_t nearest = 0; // that sample
};

// Kennard and Stone (1969) with Euclidean distance on the table as it is: first the two samples farthest
// apart, then again and again the one whose distance to the nearest picked sample is largest. Samples in
// `forced` count as picked from the start and are not returned; with at least one of them the first two are
// not special. Ties go to the lowest row. Fewer than `count` picks come back when the samples run out. Memory
// and time grow with rows times picks; the farthest pair takes rows squared. Errors: a value that is not
// finite, a forced row that does not exist.
Result<std::vector<Pick>> kennard_stone(const Table& table, std::size_t count,
                                        std::span<const std::size_t> forced = {});

} // namespace thresh::stats

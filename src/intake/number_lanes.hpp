// The numbers of a row of plain text, four cells at a time, where the processor has AVX2.
#pragma once

#include <thresh/core/cell.hpp>

#include <cstddef>
#include <cstdint>
#include <span>

namespace thresh::intake {

// Whether this processor can do it; a build for another one never can.
bool has_number_lanes();

// Which of up to 64 cells hold text, and which of them were left to the straightforward way; by bit.
struct LanesRead {
    std::uint64_t filled = 0, left = 0;
};
inline constexpr std::size_t kMostLanes = 64;

struct LaneMarks {
    char decimal;
    char quote; // around cells, inside which a row holds no other; '\0': text without quotes
};

// Reads the cells in the columns `positions` (4 to kMostLanes of them) of the row whose cells end at
// `ends`[0], `ends`[1], ... in `text`, into `cells`: decimals of at most eight characters without a sign, and
// empty cells as missing. Cells of other spellings are `left`; what stands for them in `cells` means nothing.
// Preconditions: has_number_lanes(); ends[-1] + 1 is where the row starts; nine bytes before it are readable.
LanesRead read_number_lanes(const char* text, const std::uint32_t* ends,
                            std::span<const std::uint32_t> positions, LaneMarks marks, Cell* cells);

} // namespace thresh::intake

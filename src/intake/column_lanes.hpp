// The numbers of a row whose columns keep their decimals from row to row, as an instrument's do: eight cells
// at a time, in fewer steps than finding every decimal mark takes.
#pragma once

#include <thresh/core/cell.hpp>

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace thresh::intake {

class ColumnLanes {
  public:
    static constexpr std::size_t kLanes = 8;

    // Columns `positions` (kLanes of them at least) of numbers whose decimal mark is `mark`. No decimals are
    // expected of any column so far.
    ColumnLanes(std::span<const std::uint32_t> positions, char mark);

    // Reads the row whose cells end at `ends`[0], `ends`[1], ... in `text` into `cells`: true when every cell
    // is empty or a decimal of at most eight characters, without a sign, with the decimals expected of its
    // column; otherwise what stands in `cells` means nothing. `filled`: whether a cell is not empty.
    // Preconditions: has_number_lanes(); ends[-1] + 1 is where the row starts; nine bytes before it are
    // readable.
    bool read(const char* text, const std::uint32_t* ends, Cell* cells, bool& filled) const;

    // Expects of every column the decimals that it has in `cells`, where it has a decimal.
    void expect(std::span<const Cell> cells);

  private:
    // Of eight columns; what is for bytes lies beside the eight bytes before each cell's end.
    struct alignas(32) Group {
        std::uint8_t zeros[64];    // what turns the expected bytes into their digits, the mark into 0
        std::uint8_t largest[64];  // then: 9 for a digit, 0 for the mark
        std::uint8_t gathered[64]; // the digits side by side at the end, in order
        std::uint32_t decimals[kLanes];
        std::uint32_t least[kLanes]; // characters of a cell that is not empty
        std::uint32_t position[kLanes];
        std::size_t first = 0; // of the columns
        bool side_by_side = false;
    };
    void set(Group& group, std::size_t lane, unsigned decimals) const;

    std::vector<Group> groups_; // the last one may share columns with the one before
    char mark_;
};

} // namespace thresh::intake

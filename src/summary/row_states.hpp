// What means ask about every reading, together: where readings are far apart, each look costs a wait.
#pragma once

#include <thresh/summary/tables.hpp>

#include <cstdint>
#include <vector>

namespace thresh::summary {

class RowState {
  public:
    RowState() = default;
    RowState(std::uint8_t material, Verdict verdict, bool has_marks, bool may_be_told)
        : bits_(static_cast<std::uint16_t>(material | static_cast<unsigned>(verdict) << kVerdict |
                                           (has_marks ? kMarked : 0U) | (may_be_told ? kTold : 0U))) {}
    RowState(const Season& season, RowId row)
        : RowState(season.batch.material[row], season.judgement.verdict[row], season.judgement.has_marks(row),
                   season.judgement.may_be_told(row)) {}

    std::uint8_t material() const { return static_cast<std::uint8_t>(bits_); }
    Verdict verdict() const { return static_cast<Verdict>(bits_ >> kVerdict & 7U); }
    bool has_marks() const { return (bits_ & kMarked) != 0; } // some value of the row
    bool may_be_told() const { return (bits_ & kTold) != 0; } // as Judgement::may_be_told

  private:
    static constexpr unsigned kVerdict = 8, kTold = 1U << 14U, kMarked = 1U << 15U;
    std::uint16_t bits_ = 0;
};

// By RowId.
std::vector<RowState> row_states(const Season& season);

} // namespace thresh::summary

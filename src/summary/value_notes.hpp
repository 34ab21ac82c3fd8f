// Why a number is marked, in words, for tables whose sink asks for it.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

// Gathers what findings say about one value of one or several readings. One for a thread; keeps its room.
class ValueNotes {
  public:
    explicit ValueNotes(const Season& season) : season_(season) {}
    void clear();
    // Findings about this value of a reading that mark it: outside the expected range, to review, excluded.
    // Settled ones are left out.
    void add_value(RowId row, ConstituentId constituent);
    // Findings that exclude the reading itself.
    void add_excluded_reading(RowId row);
    bool empty() const { return texts_.empty(); }
    // One message a line, each with file and row, in order of readings; after a few, how many more there are.
    std::string text() const;

  private:
    void add(const Finding& finding);
    Season season_;
    std::vector<std::string> texts_;
};

} // namespace thresh::summary

// The `findings` cell of readings and samples: code[:constituent], sorted, joined by `;`.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

// Gathers findings and spells them. One for a thread; keeps its room.
class FindingCodes {
  public:
    explicit FindingCodes(const Season& season) : season_(season) {}
    void clear() { texts_.clear(); }
    // All findings of a reading: about it, its values, its sample and its session.
    void add_reading(RowId row);
    void add(const Finding& finding);
    bool empty() const { return texts_.empty(); }
    // Sorted bytewise, each once.
    const std::string& joined();

  private:
    void add_all(std::span<const std::uint32_t> findings);
    Season season_;
    std::vector<std::string> texts_;
    std::string joined_;
};

} // namespace thresh::summary

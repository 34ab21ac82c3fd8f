// The `findings` cell of readings and samples: code[:constituent], sorted, joined by `;`.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

// Gathers findings and spells them. One for a thread; keeps its room.
class FindingCodes {
  public:
    explicit FindingCodes(const Season& season) : season_(season) {}
    void clear() { named_.clear(); }
    // All findings of a reading: about it, its values, its sample and its session.
    void add_reading(RowId row);
    void add(const Finding& finding);
    bool empty() const { return named_.empty(); }
    // Sorted bytewise, each once.
    const std::string& joined();

  private:
    // What a finding is called, in two parts: the second follows a colon where it is not empty.
    struct Name {
        std::string_view code, constituent;
        friend bool operator==(const Name&, const Name&) = default;
    };
    static bool before(const Name& a, const Name& b);
    void add_all(std::span<const std::uint32_t> findings);
    Season season_;
    std::vector<Name> named_;
    std::string joined_;
};

} // namespace thresh::summary

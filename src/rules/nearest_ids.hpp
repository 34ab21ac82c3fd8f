// Finds the listed IDs that a mistyped one may have been: one character wrong, missing or too many, two
// neighbours swapped, or characters that look alike; lost leading zeros.
#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace thresh::rules {

// Time for a look-up does not depend on the number of listed IDs: each ID is entered under itself with every
// single character left out (deletion neighbourhood), so IDs one edit apart share an entry.
class NearestIds {
  public:
    // `id` must stay where it is as long as this object is used.
    void add(std::string_view id);
    // Listed IDs at optimal-string-alignment distance 1, or equal after folding look-alikes and leading zeros
    // of digit groups; in order of adding, at most `most`.
    std::vector<std::string_view> near(std::string_view id, std::size_t most = 3) const;

  private:
    std::vector<std::string_view> ids_;
    std::unordered_map<std::uint64_t, std::vector<std::uint32_t>> by_key_; // only looked up, never walked
};

} // namespace thresh::rules

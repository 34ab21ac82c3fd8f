// Finds the listed IDs that a mistyped one may have been: one character wrong, missing or too many, two
// neighbours swapped, or characters that look alike or cannot be seen; lost leading zeros.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace thresh::rules {

// Each mistyped ID is entered under itself with every single character left out (deletion neighbourhood), so
// that listed IDs one edit apart share an entry. The list is then walked once: time grows with both numbers,
// never with their product.
class NearestIds {
  public:
    // The IDs must stay where they are as long as this object is used.
    explicit NearestIds(std::vector<std::string_view> mistyped);

    // For each mistyped ID those of `listed` at optimal-string-alignment distance 1, or equal after folding
    // look-alikes and leading zeros of digit groups; in order of `listed`, the first `most`.
    std::vector<std::vector<std::string_view>> among(const std::vector<std::string_view>& listed,
                                                     std::size_t most, unsigned threads) const;

  private:
    bool may_hold(std::uint64_t key) const {
        return (filter_[(key >> 6) & (filter_.size() - 1)] >> (key & 63) & 1) != 0;
    }

    std::vector<std::string_view> mistyped_;
    std::vector<std::pair<std::uint64_t, std::uint32_t>> by_key_; // by leading bits; index of a mistyped ID
    std::vector<std::uint64_t> filter_; // a bit for each key: most listed IDs end here; a power of two
    // Where the keys that begin with these bits begin in `by_key_`: keys are hashes, so each has a few.
    std::vector<std::uint32_t> begin_;
    unsigned shift_ = 63;
};

// The first character of `id` that `near` has not and that the eye takes for another one, or for nothing:
// `U+2013, another dash than `-``. Empty when there is none.
std::string unseen_difference(std::string_view id, std::string_view near);

} // namespace thresh::rules

// Comparing texts of a few bytes, as reps and the beginnings of IDs are: a call for it would take longer than
// the comparison. Whether they are the same: same_text().
#pragma once

#include <cstddef>
#include <string_view>
#include <thresh/core/same_text.hpp>

namespace thresh::batch {

inline bool begins_with(std::string_view text, std::string_view beginning) {
    return text.size() >= beginning.size() && same_text(text.substr(0, beginning.size()), beginning);
}

// Below, above or equal to 0, bytewise.
inline int compare_text(std::string_view a, std::string_view b) {
    constexpr std::size_t kShort = 8;
    const std::size_t both = a.size() < b.size() ? a.size() : b.size();
    if (both > kShort)
        return a.compare(b);
    for (std::size_t i = 0; i < both; ++i)
        if (a[i] != b[i])
            return static_cast<unsigned char>(a[i]) < static_cast<unsigned char>(b[i]) ? -1 : 1;
    return a.size() < b.size() ? -1 : a.size() > b.size() ? 1 : 0;
}

} // namespace thresh::batch

// Comparing texts of a few bytes, as reps and the beginnings of IDs are: a call for it would take longer than
// the comparison.
#pragma once

#include <cstdint>
#include <cstring>
#include <string_view>

namespace thresh::batch {

inline bool equal_bytes(const char* a, const char* b, std::size_t size) {
    const auto differ = [&](std::size_t at) {
        std::uint64_t x = 0, y = 0;
        std::memcpy(&x, a + at, sizeof x);
        std::memcpy(&y, b + at, sizeof y);
        return x != y;
    };
    if (size > 16)
        return std::memcmp(a, b, size) == 0;
    if (size >= 8)
        return !differ(0) && !differ(size - 8);
    for (std::size_t i = 0; i < size; ++i)
        if (a[i] != b[i])
            return false;
    return true;
}

inline bool equal_text(std::string_view a, std::string_view b) {
    return a.size() == b.size() && (a.data() == b.data() || equal_bytes(a.data(), b.data(), a.size()));
}

inline bool begins_with(std::string_view text, std::string_view beginning) {
    return text.size() >= beginning.size() && equal_bytes(text.data(), beginning.data(), beginning.size());
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

// Comparing short texts without a call: most texts of an export have less than seventeen bytes.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string_view>

namespace thresh {

// Whether a and b hold the same bytes.
inline bool same_text(std::string_view a, std::string_view b) {
    const std::size_t size = a.size();
    if (size != b.size())
        return false;
    // The first and the last bytes of both, which overlap or meet, as two words each.
    const auto ends_are_same = [&](auto word) {
        decltype(word) first_a = 0, first_b = 0, last_a = 0, last_b = 0;
        std::memcpy(&first_a, a.data(), sizeof word);
        std::memcpy(&first_b, b.data(), sizeof word);
        std::memcpy(&last_a, a.data() + size - sizeof word, sizeof word);
        std::memcpy(&last_b, b.data() + size - sizeof word, sizeof word);
        return ((first_a ^ first_b) | (last_a ^ last_b)) == 0;
    };
    if (size > 2 * sizeof(std::uint64_t))
        return std::memcmp(a.data(), b.data(), size) == 0;
    if (size >= sizeof(std::uint64_t))
        return ends_are_same(std::uint64_t{});
    if (size >= sizeof(std::uint32_t))
        return ends_are_same(std::uint32_t{});
    return size == 0 || (a[0] == b[0] && a[size / 2] == b[size / 2] && a[size - 1] == b[size - 1]);
}

} // namespace thresh

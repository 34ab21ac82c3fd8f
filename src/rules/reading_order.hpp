// Readings of a sample as single numbers, so that numbers in order are readings in order: a season has a
// million of them, and nearly all are only counted.
#pragma once

#include <algorithm>
#include <cassert>
#include <cstddef>
#include <cstdint>
#include <span>

namespace thresh::rules {

// Its material, its session, and which of its sample's readings it is; the last one comes last in the order
// too, so that no two are equal.
class OrderedReading {
  public:
    static constexpr unsigned kNthBits = 29, kSessionBits = 27; // a season has 2^32 readings at most

    OrderedReading() = default;
    static OrderedReading by_material(std::uint8_t material, std::uint32_t session, std::size_t nth) {
        return OrderedReading(material, kSessionBits, session, nth);
    }
    static OrderedReading by_session(std::uint32_t session, std::uint8_t material, std::size_t nth) {
        return OrderedReading(session, kMaterialBits, material, nth);
    }
    std::size_t nth() const { return bits_ & ((std::uint64_t{1} << kNthBits) - 1); }
    // Material and session as one number, in the order that the reading was made with.
    std::uint64_t group() const { return bits_ >> kNthBits; }
    // Of by_material().
    std::uint32_t session() const {
        return static_cast<std::uint32_t>(group() & ((std::uint64_t{1} << kSessionBits) - 1));
    }
    std::uint8_t material() const { return static_cast<std::uint8_t>(group() >> kSessionBits); }

    friend bool operator<(OrderedReading a, OrderedReading b) { return a.bits_ < b.bits_; }

  private:
    static constexpr unsigned kMaterialBits = 8;
    OrderedReading(std::uint64_t first, unsigned bits_of_second, std::uint64_t second, std::uint64_t nth)
        : bits_((first << bits_of_second | second) << kNthBits | nth) {}
    std::uint64_t bits_ = 0;
};

// Samples have few readings in no order that a processor could guess, so a few are sorted without branches.
inline void sort_readings(std::span<OrderedReading> readings) {
    constexpr std::size_t kFew = 8;
    if (readings.size() > kFew) {
        std::sort(readings.begin(), readings.end());
        return;
    }
    for (std::size_t last = 1; last < readings.size(); ++last)
        for (std::size_t i = last; i > 0; --i) {
            const OrderedReading a = readings[i - 1], b = readings[i];
            readings[i - 1] = std::min(a, b);
            readings[i] = std::max(a, b);
        }
}

} // namespace thresh::rules

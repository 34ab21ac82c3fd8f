// Readings of a sample as single numbers, so that numbers in order are readings in order: a season has a
// million of them, and nearly all are only counted.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

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
    static OrderedReading of_bits(std::uint64_t bits) {
        OrderedReading reading;
        reading.bits_ = bits;
        return reading;
    }
    std::uint64_t bits() const { return bits_; }
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

// Puts the readings of one sample after the other in order, in memory that is used again. Samples have few
// readings in no order that a processor could guess, so up to eight go through a fixed network of exchanges
// (Batcher 1968, in the order of fewest steps) without a branch.
class ReadingSorter {
  public:
    // For up to `most` readings.
    void begin(std::size_t most) {
        if (memory_.size() < std::max(most + 1, kFew))
            memory_.resize(std::max(most + 1, kFew));
        count_ = 0;
    }
    void add(OrderedReading reading, bool usable) {
        memory_[count_] = reading; // the next one takes its place when it is not usable
        count_ += static_cast<std::size_t>(usable);
    }
    std::span<const OrderedReading> sorted() {
        const std::span<OrderedReading> readings = std::span(memory_).first(count_);
        if (count_ > kFew)
            std::sort(readings.begin(), readings.end());
        else
            sort_few();
        return readings;
    }

  private:
    static constexpr std::size_t kFew = 8;
    void sort_few() {
        std::array<std::uint64_t, kFew> few;
        for (std::size_t i = 0; i < kFew; ++i)
            few[i] = i < count_ ? memory_[i].bits() : ~std::uint64_t{0};
        constexpr std::pair<unsigned char, unsigned char> kExchanges[] = {
            {0, 2}, {1, 3}, {4, 6}, {5, 7}, {0, 4}, {1, 5}, {2, 6}, {3, 7}, {0, 1}, {2, 3},
            {4, 5}, {6, 7}, {2, 4}, {3, 5}, {1, 4}, {3, 6}, {1, 2}, {3, 4}, {5, 6}};
#pragma GCC unroll 19
        for (const auto& [low, high] : kExchanges) {
            const std::uint64_t a = few[low], b = few[high];
            few[low] = a < b ? a : b; // by value: std::min compares through memory
            few[high] = a < b ? b : a;
        }
        for (std::size_t i = 0; i < kFew; ++i)
            memory_[i] = OrderedReading::of_bits(few[i]);
    }
    std::vector<OrderedReading> memory_;
    std::size_t count_ = 0;
};

} // namespace thresh::rules

// Medians are picked, not sorted for, and no branch hangs on a value: which of two measurements is the larger
// cannot be guessed, and a wrong guess costs more than ten comparisons. Few values go through a fixed network
// of exchanges (Batcher 1968). Of more, two of the values themselves, from the thirds of a sample, cut off
// what cannot be the middle until few are left (after Floyd and Rivest 1975); a fixed number of cuts bounds
// the time, whatever the values are.
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <utility>

namespace thresh::stats {
namespace {

constexpr std::size_t kFew = 16;
constexpr int kMostCuts = 40;

using Exchange = std::pair<unsigned char, unsigned char>; // the lower place gets the smaller value

// Odd-even merge sorting of `size` values, a power of two: calls exchange(low, high).
template <typename Take>
constexpr void for_exchanges(std::size_t size, const Take& take) {
    for (std::size_t run = 1; run < size; run *= 2)
        for (std::size_t apart = run; apart > 0; apart /= 2)
            for (std::size_t first = apart % run; first + apart < size; first += 2 * apart)
                for (std::size_t i = first; i < std::min(first + apart, size - apart); ++i)
                    if (i / (2 * run) == (i + apart) / (2 * run))
                        take(i, i + apart);
}

template <std::size_t size>
constexpr std::size_t count_exchanges() {
    std::size_t count = 0;
    for_exchanges(size, [&](std::size_t, std::size_t) { ++count; });
    return count;
}

template <std::size_t size>
constexpr auto make_network() {
    std::array<Exchange, count_exchanges<size>()> network{};
    std::size_t next = 0;
    for_exchanges(size, [&](std::size_t low, std::size_t high) {
        network[next++] = {static_cast<unsigned char>(low), static_cast<unsigned char>(high)};
    });
    return network;
}

template <std::size_t size>
void sort_by_network(std::array<double, size>& values) {
    static constexpr auto network = make_network<size>();
#pragma GCC unroll 64
    for (const auto& [low, high] : network) {
        const double smaller = std::min(values[low], values[high]);
        values[high] = std::max(values[low], values[high]);
        values[low] = smaller;
    }
}

using Two = std::pair<double, double>;

// The values at the places `low` and `high` of the order; up to `size` values.
template <std::size_t size>
Two of_few(std::span<const double> values, std::size_t low, std::size_t high) {
    std::array<double, size> sorted;
    sorted.fill(HUGE_VAL); // behind the values
    std::copy(values.begin(), values.end(), sorted.begin());
    sort_by_network(sorted);
    return {sorted[low], sorted[high]};
}

// Two of the values that cut them into about equal thirds.
Two thirds_of(std::span<const double> values) {
    std::array<double, 8> sample;
    for (std::size_t i = 0; i < sample.size(); ++i)
        sample[i] = values[i * (values.size() - 1) / (sample.size() - 1)];
    sort_by_network(sample);
    return {sample[2], sample[5]};
}

// Leaves those that are to stay at the front of their memory.
template <typename Stays>
std::span<double> cut(std::span<double> values, const Stays& stays) {
    std::size_t kept = 0;
    for (const double value : values) {
        values[kept] = value;
        kept += static_cast<std::size_t>(stays(value));
    }
    return values.first(kept);
}

// The values at the places `low` and `high` of the order, which are the same or neighbours.
Two in_order(std::span<double> values, std::size_t low, std::size_t high) {
    for (int cuts = 0; values.size() > kFew; ++cuts) {
        const auto [from, to] = thirds_of(values);
        std::size_t below = 0, up_to = 0;
        for (const double value : values) {
            below += static_cast<std::size_t>(value < from);
            up_to += static_cast<std::size_t>(value <= to);
        }
        const std::size_t before = values.size();
        if (high < below) {
            values = cut(values, [from = from](double value) { return value < from; });
        } else if (low >= up_to) {
            values = cut(values, [to = to](double value) { return value > to; });
            low -= up_to;
            high -= up_to;
        } else if (low >= below && high < up_to) {
            if (from == to)
                return {from, to};
            values = cut(values, [from = from, to = to](double value) {
                return static_cast<bool>(static_cast<int>(value >= from) & static_cast<int>(value <= to));
            });
            low -= below;
            high -= below;
        } else if (low < below) { // the two lie on either side of a cut
            values = cut(values, [to = to](double value) { return value <= to; });
        } else {
            values = cut(values, [from = from](double value) { return value >= from; });
            low -= below;
            high -= below;
        }
        if (values.size() == before || cuts == kMostCuts) {
            std::sort(values.begin(), values.end());
            return {values[low], values[high]};
        }
    }
    return values.size() <= 8 ? of_few<8>(values, low, high) : of_few<kFew>(values, low, high);
}

} // namespace

std::optional<double> median(std::span<const double> values) {
    if (values.empty())
        return std::nullopt;
    // Medians of a few values are taken by the million: those of two to four are a few comparisons, and those
    // of some more need no memory of their own.
    if (values.size() == 1)
        return values[0];
    const double low = std::min(values[0], values[1]), high = std::max(values[0], values[1]);
    if (values.size() == 2)
        return 0.5 * (low + high);
    if (values.size() == 3)
        return std::max(low, std::min(high, values[2]));
    if (values.size() == 4) {
        const auto [other_low, other_high] = std::minmax(values[2], values[3]);
        return 0.5 * (std::max(low, other_low) + std::min(high, other_high));
    }
    if (values.size() > kFew) {
        std::vector<double> copy(values.begin(), values.end());
        return median_in_place(copy);
    }
    std::array<double, kFew> copy;
    std::copy(values.begin(), values.end(), copy.begin());
    return median_in_place(std::span(copy).first(values.size()));
}

std::optional<double> median_in_place(std::span<double> values) {
    if (values.size() <= 4)
        return median(values);
    const std::size_t half = values.size() / 2;
    if (values.size() % 2 == 1)
        return in_order(values, half, half).first;
    const auto [low, high] = in_order(values, half - 1, half);
    return 0.5 * (low + high);
}

} // namespace thresh::stats

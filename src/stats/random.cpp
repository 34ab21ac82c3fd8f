// Counters pushed through the finaliser of SplitMix64 (Steele, Lea and Flood 2014) three times; normals by
// Box and Muller in pairs.
#include <thresh/stats/random.hpp>

#include <cmath>
#include <numbers>
#include <utility>

namespace thresh::stats {
namespace {

constexpr std::uint64_t golden = 0x9E3779B97F4A7C15ULL;

std::uint64_t mixed(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

} // namespace

std::uint64_t random_bits(std::uint64_t seed, std::uint64_t stream, std::uint64_t index) {
    return mixed(mixed(mixed(seed + golden) + (stream + 1) * golden) + (index + 1) * golden);
}

double random_uniform(std::uint64_t seed, std::uint64_t stream, std::uint64_t index) {
    return (static_cast<double>(random_bits(seed, stream, index) >> 11) + 0.5) * 0x1.0p-53;
}

void random_normals(std::uint64_t seed, std::uint64_t stream, std::vector<double>& normals) {
    for (std::size_t i = 0; i < normals.size(); i += 2) {
        const double radius = std::sqrt(-2.0 * std::log(random_uniform(seed, stream, i)));
        const double angle = 2.0 * std::numbers::pi * random_uniform(seed, stream, i + 1);
        normals[i] = radius * std::cos(angle);
        if (i + 1 < normals.size())
            normals[i + 1] = radius * std::sin(angle);
    }
}

std::vector<std::size_t> random_order(std::size_t n, std::uint64_t seed, std::uint64_t stream) {
    std::vector<std::size_t> order(n);
    for (std::size_t i = 0; i < n; ++i)
        order[i] = i;
    for (std::size_t i = n; i > 1; --i) {
        const double place = random_uniform(seed, stream, i) * static_cast<double>(i);
        std::swap(order[i - 1], order[static_cast<std::size_t>(place)]);
    }
    return order;
}

} // namespace thresh::stats

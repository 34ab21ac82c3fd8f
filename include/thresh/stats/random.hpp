// Random numbers as a pure function of (seed, stream, index): the same on every machine and in any order of
// calling, with no state to carry. For draws from a posterior, random shares and random orders; not for
// secrets.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace thresh::stats {

// 64 well-mixed bits.
std::uint64_t random_bits(std::uint64_t seed, std::uint64_t stream, std::uint64_t index);

// Uniform in the open interval (0, 1), 53 bits.
double random_uniform(std::uint64_t seed, std::uint64_t stream, std::uint64_t index);

// Fills `normals` with independent standard normals.
void random_normals(std::uint64_t seed, std::uint64_t stream, std::vector<double>& normals);

// Random order of 0 .. n - 1, all orders equally likely.
std::vector<std::size_t> random_order(std::size_t n, std::uint64_t seed, std::uint64_t stream = 0);

} // namespace thresh::stats

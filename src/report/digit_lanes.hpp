// Many numbers written one after the other: as FixedDecimals writes each, several at a time where the
// processor has room for them.
#pragma once

#include "report/fixed_decimals.hpp"

#include <cstddef>
#include <span>

namespace thresh::report {

struct PutNumbers {
    std::size_t count = 0; // of values that were written
    char* end = nullptr;
};

// Writes each value behind `delimiter`, from `at` on, until one comes that is not for here: neither NaN,
// which is nothing behind its delimiter, nor a number that FixedDecimals takes. `whole` is empty or has a
// flag for each value: such a value is an integer and is written as one. Bytes that may be written to:
// kRoomOfNumber for each value.
PutNumbers put_numbers(const FixedDecimals& decimals, char delimiter, std::span<const double> values,
                       std::span<const bool> whole, char* at);

// The ways to do it, which differ in nothing but speed. put_numbers takes the last that is there.
using PutMany = PutNumbers (*)(const FixedDecimals& decimals, char delimiter, std::span<const double> values,
                               std::span<const bool> whole, char* at);
PutNumbers put_one_by_one(const FixedDecimals& decimals, char delimiter, std::span<const double> values,
                          std::span<const bool> whole, char* at);
// Null where the processor lacks what they need.
PutMany put_by_fours();  // AVX2
PutMany put_by_eights(); // AVX-512 with VBMI2

inline constexpr std::size_t kRoomOfNumber = FixedDecimals::kRoom + 1;

} // namespace thresh::report

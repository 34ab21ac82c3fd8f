// The digits of many numbers: those of FixedDecimals, several at a time where the processor has room for
// them.
#pragma once

#include "report/fixed_decimals.hpp"

#include <span>

namespace thresh::report {

// digits[i] = decimals.digits_of(values[i]), for all values.
void digits_of_all(const FixedDecimals& decimals, std::span<const double> values, std::uint64_t* digits);
// The same, one after the other.
void digits_one_by_one(const FixedDecimals& decimals, std::span<const double> values, std::uint64_t* digits);

} // namespace thresh::report

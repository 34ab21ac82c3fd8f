// The ways to do what scan_rows does: they differ in nothing but speed.
#pragma once

#include "intake/scan.hpp"

namespace thresh::intake {

// Adds to `rows`, which has room for a needle at every byte and kScanStep more.
using ScanWay = Survey (*)(std::string_view text, std::size_t origin, Dialect dialect, Rows& rows);

inline constexpr std::size_t kScanStep = 64; // bytes

// Null where the processor lacks what they need.
ScanWay scan_by_halves(); // of a step, with AVX2
ScanWay scan_by_steps();  // with AVX-512 and VBMI2

// What [from, text.size()) holds, byte by byte, when rows.ends holds `cells` cells so far.
Survey scan_bytes(std::string_view text, std::size_t from, std::size_t cells, Dialect dialect, Rows& rows);

} // namespace thresh::intake

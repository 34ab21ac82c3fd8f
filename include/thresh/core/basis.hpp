// What a percentage refers to: of what it is a part, and at which moisture content.
#pragma once

#include <thresh/core/result.hpp>

#include <cstdint>
#include <string>
#include <string_view>

namespace thresh {

// What a constituent is a share of. Shares of the sample change with its moisture and convert between
// bases; shares of the oil or of the protein never do. `none`: not a share at all (ratio, index, wavelength).
enum class PartOf : std::uint8_t { sample, oil, protein, none };

// The moisture content that a share of the sample refers to.
//   not_stated  nothing said so (only for columns; treated as as-is and reported)
//   as_is       the moisture of the reading itself
//   fixed       `percent` moisture, wet basis; 0 is dry matter
struct Basis {
    enum class Kind : std::uint8_t { not_stated, as_is, fixed };
    Kind kind = Kind::not_stated;
    double percent = 0;

    static constexpr Basis as_is() { return {Kind::as_is, 0}; }
    static constexpr Basis dry() { return {Kind::fixed, 0}; }
    static constexpr Basis at(double moisture_percent) { return {Kind::fixed, moisture_percent}; }
    friend constexpr bool operator==(const Basis&, const Basis&) = default;
};

// `as-is`, `dry`, `13`, `8.5`; empty for not_stated. The spelling of tables, options and rules files.
std::string to_text(Basis basis);

// Reads that spelling: `as-is`, `dry` (ASCII case ignored) or percent moisture from 0 to below 100, such as
// `13`, `8.5` or `13%`; 0 is dry. Error: anything else, empty text included, with what would be accepted.
Result<Basis> parse_basis(std::string_view text);

} // namespace thresh

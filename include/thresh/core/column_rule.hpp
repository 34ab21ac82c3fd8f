// How a rules file describes a column of exports: written by `rules`, obeyed by `intake`, known to both.
#pragma once

#include <thresh/core/constituent.hpp>
#include <thresh/core/readings.hpp>

#include <optional>
#include <string>
#include <vector>

namespace thresh {

// What to do with a value that stands as `<0.05`.
enum class BelowLimit : std::uint8_t { omit, zero, half, limit };

// A column as the rules file describes it: headings are patterns (`*`, `?`, whole cell, case ignored).
// Exactly one of `constituent`, `field`, `time` is set.
struct ColumnRule {
    std::vector<std::string> headings;
    std::optional<ConstituentId> constituent;
    std::optional<TextField> field;
    bool time = false;
    std::optional<PartOf> part_of;
    std::optional<Basis> basis;
    std::optional<std::string> unit;
};

} // namespace thresh

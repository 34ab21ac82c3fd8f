// Positions of the columns in sample_list_headings() and decision_headings().
#pragma once

#include <cstddef>

namespace thresh::batch {

enum class ListColumnIndex : std::size_t {
    sample,
    line,
    trial,
    environment,
    year,
    rep,
    block,
    plot,
    check,
    material,
    kind,
    generation,
    oil_type,
    seed_coat,
    mass_g,
    keep_whole,
    treated,
    location,
    due,
    duplicate_of,
    count
};

enum class DecisionColumnIndex : std::size_t {
    sample,
    source,
    row,
    time,
    constituent,
    code,
    decision,
    to,
    reason,
    initials,
    date,
    count
};

} // namespace thresh::batch

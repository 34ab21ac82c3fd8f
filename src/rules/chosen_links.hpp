// Readings chosen to tell drift from seed, before their values are decoded.
#pragma once

#include "rules/rule.hpp"

#include <cstdint>
#include <vector>

namespace thresh::rules {

// A reading that links, in order of sample, material, session, row.
struct ChosenLink {
    std::uint32_t sample;
    RowId row;
    std::uint32_t place; // in Batch::sample_rows; kNone for controls
};

// Leaves, of the samples that two sessions share in a material, about kEnoughSamples; those whose moisture
// changed count apart. Each piece holds whole samples and keeps its order.
void thin_links(const Evidence& evidence, std::vector<std::vector<ChosenLink>>& pieces);

} // namespace thresh::rules

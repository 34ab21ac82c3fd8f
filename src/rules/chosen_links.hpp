// Readings chosen to tell drift from seed, before their values are decoded.
#pragma once

#include "rules/rule.hpp"

#include <cstdint>
#include <set>
#include <vector>

namespace thresh::rules {

// A reading that links.
struct ChosenLink {
    std::uint32_t sample;
    RowId row;
    std::uint32_t place; // in Batch::sample_rows; kNone for controls
    std::uint32_t session;
    std::uint8_t material;
};

// Usable readings of samples that several sessions read in one material, and of controls that have no chart,
// but none of `reused`, whose IDs stand for two seeds. Of the samples that two sessions share in a material
// about kEnoughSamples; those whose moisture changed count apart. Each piece holds whole samples, in order of
// sample, material, session, row; samples are in order but controls.
std::vector<std::vector<ChosenLink>> choose_links(const Evidence& evidence,
                                                  const std::set<std::uint32_t>& reused);

} // namespace thresh::rules

// The samples of a trial with the means that outliers are sought among.
#pragma once

#include "rules/rule.hpp"

#include <cstdint>
#include <span>
#include <vector>

namespace thresh::rules {

// The samples of one trial and material with their means, line by line.
struct TrialMeans {
    std::uint8_t material = batch::kNoMaterial;
    std::vector<std::uint32_t> samples;     // in order of line, then of ID
    std::vector<std::uint32_t> environment; // of each, the number of its site and year
    std::vector<std::size_t> begin;         // of each line's samples, and the end
    std::vector<double> means;              // of the first key constituent, then of the next one; NaN: none
    std::uint32_t environments = 0;

    std::span<const double> of_key(std::size_t k) const {
        return std::span(means).subspan(k * samples.size(), samples.size());
    }
};

// Trials and materials apart from each other, in order of their names; of materials that the rules know.
// Samples without a line and of segregating generations, whose plants differ by right, are left out. A mean
// is that of a sample's usable readings of the trial's material, as KeyValues has them; moisture has none.
std::vector<TrialMeans> trial_means(const Evidence& evidence);

} // namespace thresh::rules

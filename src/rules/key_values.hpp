// The values of all readings by which repeats and outliers are judged, decoded once for both rules and laid
// out sample by sample: readings of one sample lie far apart in the files, and going there is what costs
// time.
#pragma once

#include <thresh/batch/batch.hpp>
#include <thresh/rules/judge.hpp>
#include <thresh/rules/ruleset.hpp>

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

namespace thresh::rules {

// By place in Batch::sample_rows.
class KeyValues {
  public:
    KeyValues(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far);

    // kNoMaterial for readings that are not to be compared: excluded ones, and those of no known material.
    std::uint8_t material(std::size_t place) const { return material_[place]; }
    // One value for each key constituent of the reading's material, in the order of Material::key: shares of
    // the sample on dry basis, everything else (moisture too) as read. NaN when absent, marked to be
    // excluded, or its moisture is absent. Precondition: the material is known.
    std::span<const double> of(std::size_t place) const { return {values_.get() + place * width_, width_}; }

    std::size_t width() const { return width_; }

  private:
    std::size_t width_ = 0; // most key constituents of any material
    std::vector<std::uint8_t> material_;
    // Not cleared beforehand: the threads that fill it are the first to touch its memory.
    std::unique_ptr<double[]> values_;
};

} // namespace thresh::rules

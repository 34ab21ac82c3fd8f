// Means of samples that one table computes, for another that is written after it: `samples`, then `lines`.
#pragma once

#include <thresh/summary/sample_means.hpp>

#include <memory>
#include <vector>

namespace thresh::summary {

// Those of usable readings, of each sample in the material of its first reading; a sample read as two
// materials is rare, and its other mean is not kept.
class KeptMeans {
  public:
    // `most`: bytes that the means may take. Of a season that needs more only the first samples are kept:
    // half a million samples of 30 constituents fit.
    explicit KeptMeans(const SampleMeans& means, std::size_t most = std::size_t{128} << 20);

    // Takes the numbers of a sample. May be called from several threads for different groups, not beside
    // find().
    void keep(SampleMeans::Group group, const SampleNumbers& numbers);

    struct Kept {
        const double* mean = nullptr; // by slot; NaN where there is none. Null: not kept
        std::uint32_t readings = 0, used = 0, review = 0;
    };
    Kept find(SampleMeans::Group group) const {
        if (!has_room(group.sample))
            return {};
        const Counts& counts = counts_[group.sample];
        if (!counts.kept || counts.material != group.material)
            return {};
        return {means_.get() + group.sample * slots_, counts.readings, counts.used, counts.review};
    }
    bool has_room(std::uint32_t sample) const { return sample < counts_.size(); }
    void prefetch(std::uint32_t sample) const; // where there is room

  private:
    struct Counts {
        std::uint32_t readings = 0, used = 0, review = 0;
        std::uint8_t material = 0;
        bool kept = false;
    };
    const batch::Batch& batch_;
    std::size_t slots_;
    std::vector<Counts> counts_;      // by sample, of those there is room for
    std::unique_ptr<double[]> means_; // samples x slots; only what is kept is ever touched
};

} // namespace thresh::summary

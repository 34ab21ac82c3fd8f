// Each sample has its own place, so that threads that keep different groups need no lock; of the materials
// that a sample was read as, its first reading tells beforehand whose the place is.
#include <thresh/summary/kept_means.hpp>

#include <algorithm>

namespace thresh::summary {

KeptMeans::KeptMeans(const SampleMeans& means, std::size_t most)
    : batch_(means.season().batch), slots_(means.constituents().size()),
      counts_(std::min(batch_.samples.size(), most / (sizeof(double) * std::max<std::size_t>(1, slots_)))),
      means_(std::make_unique_for_overwrite<double[]>(counts_.size() * slots_)) {}

void KeptMeans::keep(SampleMeans::Group group, const SampleNumbers& numbers) {
    const auto rows = batch_.rows_of(group.sample);
    if (!has_room(group.sample) || rows.empty() || batch_.material[rows.front()] != group.material)
        return;
    std::copy(numbers.mean.begin(), numbers.mean.end(), means_.get() + group.sample * slots_);
    counts_[group.sample] = {numbers.readings, numbers.used, numbers.review, group.material, true};
}

void KeptMeans::prefetch(std::uint32_t sample) const {
    constexpr std::size_t kLine = 64 / sizeof(double);
    __builtin_prefetch(&counts_[sample]);
    const double* mean = means_.get() + sample * slots_;
    for (std::size_t slot = 0; slot < slots_; slot += kLine)
        __builtin_prefetch(mean + slot);
    __builtin_prefetch(mean + (slots_ == 0 ? 0 : slots_ - 1));
}

} // namespace thresh::summary

// A plot's mean is that of its samples' means, a line's mean and SD are over its plots' means, each counted
// once. The SD is taken in two passes, mean first, so that it keeps its digits. The mean of a ratio is the
// ratio of the line's mean inputs; it has no SD.
#include "summary/line_numbers.hpp"

#include "summary/slot_sums.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace thresh::summary {

LineArithmetic::LineArithmetic(const SampleMeans& means, bool shares, const KeptMeans* kept)
    : means_(means), workspace_(means.workspace()), shares_(shares), kept_(kept) {
    assert(!shares || kept == nullptr);
}

void LineArithmetic::name_adjusted(std::uint32_t sample, std::uint8_t material) {
    const Season& season = means_.season();
    const Adjuster& adjuster = means_.values().adjuster();
    if (!adjuster.active())
        return;
    for (const RowId row : season.batch.rows_of(sample))
        if (season.batch.material[row] == material && season.judgement.verdict[row] <= Verdict::review)
            adjuster.add_names(row, line_.adjusted);
}

// A plot of one sample (else null) has its means: what they would be by adding to nothing and dividing by
// one.
void LineArithmetic::close_plot(const double* one_sample) {
    const std::size_t slots = line_.mean.size();
    if (one_sample == nullptr)
        divide_sums(plot_n_.data(), slots, plot_sum_.data());
    const double* const mean = one_sample != nullptr ? one_sample : plot_sum_.data();
    line_.plot_means.insert(line_.plot_means.end(), mean, mean + slots);
    add_values(mean, slots, line_.mean.data(), line_.n.data());
    for (std::size_t slot = 0; slot < plot_inverse_.size(); ++slot)
        line_.plot_shares.push_back(plot_n_[slot] > 0 ? plot_inverse_[slot] / plot_n_[slot] / plot_n_[slot]
                                                      : kNothing);
    ++line_.plot_rows;
}

// Those kept, else computed anew; they last until the next.
KeptMeans::Kept LineArithmetic::sample_numbers(SampleMeans::Group group, SampleMeans::Of of) {
    if (kept_ != nullptr && of == SampleMeans::Of::usable)
        if (const KeptMeans::Kept kept = kept_->find(group); kept.mean != nullptr)
            return kept;
    means_.compute(group, *workspace_, sample_, of);
    return {sample_.mean.data(), sample_.readings, sample_.used, sample_.review};
}

void LineArithmetic::prefetch(std::uint32_t sample) const {
    if (kept_ != nullptr && kept_->has_room(sample))
        kept_->prefetch(sample);
    else
        means_.prefetch(sample);
}

void LineArithmetic::add_plots(const LineGroups& groups, const LineGroup& group, SampleMeans::Of of) {
    constexpr std::uint32_t kAhead = 6;
    const std::size_t slots = means_.values().slots();
    const bool first_pass = of == SampleMeans::Of::usable;
    line_.mean.assign(slots, 0.0);
    line_.n.assign(slots, 0);
    line_.plot_means.clear();
    line_.plot_shares.clear();
    line_.plot_rows = 0;
    for (std::uint32_t i = group.first; i < group.last;) {
        const std::uint32_t plot = groups.members[i].plot;
        // Most plots have one sample, and then nothing needs to be summed.
        const bool alone = !shares_ && (i + 1 == group.last || groups.members[i + 1].plot != plot);
        plot_sum_.assign(alone ? 0 : slots, 0.0);
        plot_n_.assign(alone ? 0 : slots, 0);
        plot_inverse_.assign(shares_ ? slots : 0, 0.0);
        bool read = false, used = false;
        const std::uint32_t first = i;
        KeptMeans::Kept numbers;
        for (; i < group.last && groups.members[i].plot == plot; ++i) {
            if (i + kAhead < groups.members.size()) // mostly of the same line, else of the next
                prefetch(groups.members[i + kAhead].sample);
            const std::uint32_t sample = groups.members[i].sample;
            numbers = sample_numbers({sample, group.material_index}, of);
            add_values(numbers.mean, plot_sum_.size(), plot_sum_.data(), plot_n_.data());
            for (std::size_t slot = 0; slot < plot_inverse_.size(); ++slot)
                if (sample_.n[slot] > 0)
                    plot_inverse_[slot] += 1.0 / sample_.n[slot];
            if (!first_pass)
                continue;
            line_.samples += numbers.readings > 0 ? 1U : 0U;
            line_.readings += numbers.readings;
            line_.used += numbers.used;
            line_.review += numbers.review;
            read = read || numbers.readings > 0;
            used = used || numbers.used > 0;
            name_adjusted(sample, group.material_index);
        }
        line_.plots += read ? 1U : 0U;
        const bool valued =
            alone ? std::any_of(numbers.mean, numbers.mean + slots, [](double v) { return !std::isnan(v); })
                  : std::any_of(plot_n_.begin(), plot_n_.end(), [](std::uint32_t n) { return n > 0; });
        line_.plots_used += used && valued ? 1U : 0U;
        close_plot(i == first + 1 ? numbers.mean : nullptr);
    }
}

void LineArithmetic::spread() {
    const std::size_t slots = line_.mean.size();
    divide_sums(line_.n.data(), slots, line_.mean.data());
    line_.sd.assign(slots, 0.0);
    for (std::uint32_t plot = 0; plot < line_.plot_rows; ++plot)
        add_squares(line_.plot_means.data() + plot * slots, line_.mean.data(), slots, line_.sd.data());
    line_.se.assign(slots, kNothing);
    for (std::size_t slot = 0; slot < slots; ++slot) {
        const std::uint32_t n = line_.n[slot];
        const bool ratio = means_.values().is_ratio(means_.constituents()[slot]);
        line_.sd[slot] = n > 1 && !ratio ? std::sqrt(line_.sd[slot] / (n - 1)) : kNothing;
        if (n > 1 && !ratio)
            line_.se[slot] = line_.sd[slot] / std::sqrt(static_cast<double>(n));
    }
    fill_ratios(means_.values(), line_.mean, line_.n);
}

void LineArithmetic::clear() {
    line_.plots = line_.plots_used = line_.samples = 0;
    line_.readings = line_.used = line_.review = 0;
    line_.adjusted.clear();
    line_.provisional = false;
}

const LineNumbers& LineArithmetic::compute_certain(const LineGroups& groups, const LineGroup& group) {
    clear();
    add_plots(groups, group, SampleMeans::Of::certain);
    spread();
    return line_;
}

const LineNumbers& LineArithmetic::compute(const LineGroups& groups, const LineGroup& group) {
    clear();
    add_plots(groups, group, SampleMeans::Of::usable);
    line_.provisional = line_.used == 0 && line_.readings > 0;
    if (line_.provisional)
        add_plots(groups, group, SampleMeans::Of::excluded);
    spread();
    return line_;
}

} // namespace thresh::summary

// The arithmetic of one row of `lines`: samples to plots to line.
#pragma once

#include "summary/line_groups.hpp"
#include "summary/workspace.hpp"

#include <thresh/summary/kept_means.hpp>
#include <thresh/summary/sample_means.hpp>

namespace thresh::summary {

// By slot. NaN where there is no number.
struct LineNumbers {
    std::uint32_t plots = 0, plots_used = 0, samples = 0; // with a reading; of them with a usable value
    std::uint32_t readings = 0, used = 0, review = 0;
    bool provisional = false; // means of readings that are all excluded
    std::vector<double> mean, sd, se;
    std::vector<std::uint32_t> n;
    std::vector<bool> adjusted;     // by constituent: the rules correct some value; empty: none
    std::vector<double> plot_means; // plots x slots, in order; NaN = none
    // The same: share of a reading's variance that stays in the plot's mean, 1 / readings where it has one
    // sample. Only when asked for.
    std::vector<double> plot_shares;
    std::uint32_t plot_rows = 0;
};

// One for a thread; keeps its room between rows.
class LineArithmetic {
  public:
    // `kept`: means that need not be computed; not together with `shares`.
    explicit LineArithmetic(const SampleMeans& means, bool shares = false, const KeptMeans* kept = nullptr);
    const LineNumbers& compute(const LineGroups& groups, const LineGroup& group);
    // The same means without what is under review; nothing is provisional.
    const LineNumbers& compute_certain(const LineGroups& groups, const LineGroup& group);

  private:
    void clear();
    KeptMeans::Kept sample_numbers(SampleMeans::Group group, SampleMeans::Of of);
    void prefetch(std::uint32_t sample) const;
    void add_plots(const LineGroups& groups, const LineGroup& group, SampleMeans::Of of);
    void name_adjusted(std::uint32_t sample, std::uint8_t material);
    void close_plot(const double* one_sample);
    void spread();

    const SampleMeans& means_;
    std::unique_ptr<Workspace, void (*)(Workspace*)> workspace_;
    SampleNumbers sample_;
    std::vector<double> plot_sum_;
    std::vector<std::uint32_t> plot_n_;
    bool shares_;
    const KeptMeans* kept_;            // may be null
    std::vector<double> plot_inverse_; // sum over samples of 1 / readings
    LineNumbers line_;
};

} // namespace thresh::summary

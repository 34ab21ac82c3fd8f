// outlier-in-line: a sample far from the other samples of its line once its environment is taken off. The
// spread is that of all lines of the trial together, so that one odd sample cannot hide in its own line's SD.
#include "rules/key_values.hpp"
#include "rules/limits.hpp"
#include "rules/trial_means.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kFewestResiduals = 12; // of a trial, before its spread means anything

constexpr Declaration kDeclared[] = {
    {"outlier-in-line", Severity::review, About::sample, Phase::repeats, Action::read_again,
     "a sample far from the other samples of its line",
     "it may be another line's packet, a swapped plot, or a reading error; it moves the line's mean and its "
     "SD most",
     "look at packet and plot; read again",
     "`outlier_percent` over all samples and key constituents of the trial; the "
     "spread is the robust SD of residuals (1.4826 MAD)"},
};

struct Outlier {
    std::uint32_t sample;
    RowId row;
    std::string words;
};

// One constituent of a trial.
struct Task {
    ConstituentId constituent;
    std::size_t key;    // its place among the material's key constituents
    std::size_t family; // constituents that share the chance of a false alarm
    const TrialMeans* trial;
    std::vector<Outlier> found;
};

class OutlierInLine final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const std::vector<TrialMeans> trials = trial_means(evidence);
        std::vector<Task> tasks;
        for (const TrialMeans& trial : trials) {
            const Material& material = *evidence.rules.material(trial.material);
            for (std::size_t k = 0; k < material.key.size(); ++k)
                if (material.key[k] != constituent::moisture)
                    tasks.push_back({material.key[k], k, material.key.size(), &trial, {}});
        }
        parallel_for(tasks.size(), evidence.rules.batch.threads,
                     [&](std::size_t t) { check_trial(evidence, tasks[t]); });
        const batch::Batch& batch = evidence.batch;
        // A sample whose readings stand under its neighbour's ID is told already.
        std::vector<bool> shifted(batch.samples.size(), false);
        const auto queue = code_index("queue-shifted");
        for (const Finding& finding : evidence.so_far.findings)
            if (finding.code == *queue && !finding.settled && batch.sample[finding.row] != kNone)
                shifted[batch.sample[finding.row]] = true;
        for (Task& task : tasks)
            for (Outlier& found : task.found) {
                if (shifted[found.sample])
                    continue;
                sink.subject(0, About::sample, found.sample, found.row, task.constituent, {},
                             sink.keep(std::move(found.words)));
            }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    // A sample's first reading that has a value.
    static RowId first_reading(const Evidence& evidence, const Task& task, std::uint32_t sample) {
        const batch::Batch& batch = evidence.batch;
        for (std::size_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1]; ++place)
            if (evidence.key_values->material(place) == task.trial->material &&
                !std::isnan(evidence.key_values->of(place)[task.key]))
                return batch.sample_rows[place];
        return kNone;
    }

    // Takes off the median of some residuals, those at the places `at(i)` for i in [first, last).
    template <typename At>
    static void take_off_median(std::vector<double>& residuals, std::size_t first, std::size_t last,
                                std::vector<double>& memory, const At& at) {
        memory.resize(std::max(memory.size(), last - first));
        std::size_t n = 0;
        for (std::size_t i = first; i < last; ++i) {
            memory[n] = residuals[at(i)]; // the next one takes its place when it is none
            n += std::isnan(residuals[at(i)]) ? 0U : 1U;
        }
        if (n == 0)
            return;
        const double middle = *stats::median_in_place(std::span(memory).first(n));
        for (std::size_t i = first; i < last; ++i)
            residuals[at(i)] -= middle;
    }

    // Environment medians taken off, then line medians; medians so that an outlier stays where it is. The
    // first sweep takes the lines off the means, so that environments with other lines compare.
    static std::vector<double> residuals_of(const TrialMeans& trial, std::span<const double> means) {
        std::vector<double> residuals(means.begin(), means.end()), memory;
        const auto itself = [](std::size_t i) { return i; };
        const auto sweep_lines = [&] {
            for (std::size_t line = 0; line + 1 < trial.begin.size(); ++line)
                take_off_median(residuals, trial.begin[line], trial.begin[line + 1], memory, itself);
        };
        sweep_lines();
        if (trial.environments == 1) {
            take_off_median(residuals, 0, residuals.size(), memory, itself);
        } else {
            // Sorted by counting, for environments are small numbers.
            std::vector<std::size_t> next(trial.environments + 1);
            for (const std::uint32_t environment : trial.environment)
                ++next[environment + 1];
            std::partial_sum(next.begin(), next.end(), next.begin());
            const std::vector<std::size_t> begin = next;
            std::vector<std::uint32_t> order(residuals.size());
            for (std::uint32_t i = 0; i < order.size(); ++i)
                order[next[trial.environment[i]]++] = i;
            for (std::uint32_t environment = 0; environment < trial.environments; ++environment)
                take_off_median(residuals, begin[environment], begin[environment + 1], memory,
                                [&](std::size_t i) { return order[i]; });
        }
        sweep_lines();
        return residuals;
    }

    static void check_trial(const Evidence& evidence, Task& task) {
        const TrialMeans& trial = *task.trial;
        const std::span<const double> means = trial.of_key(task.key);
        if (static_cast<std::size_t>(std::count_if(means.begin(), means.end(), [](double mean) {
                return !std::isnan(mean);
            })) < kFewestResiduals)
            return;
        const std::vector<double> residual = residuals_of(trial, means);
        const auto fewest = static_cast<std::size_t>(evidence.rules.tests.outlier_samples);
        std::vector<double> residuals; // of lines with samples enough
        residuals.reserve(residual.size());
        std::vector<bool> enough(trial.begin.size() - 1);
        std::size_t lines = 0; // that gave residuals
        for (std::size_t line = 0; line < enough.size(); ++line) {
            const std::size_t before = residuals.size();
            for (std::size_t i = trial.begin[line]; i < trial.begin[line + 1]; ++i)
                if (!std::isnan(residual[i]))
                    residuals.push_back(residual[i]);
            const std::size_t n = residuals.size() - before;
            enough[line] = n >= fewest;
            if (!enough[line])
                residuals.resize(before);
            else if (n > 0)
                ++lines;
        }
        if (residuals.size() < kFewestResiduals)
            return;
        // Medians swallow a share of the spread: residuals of n values about their median have (n - 1)/n of
        // it.
        const double n = static_cast<double>(residuals.size()) / static_cast<double>(lines);
        const double spread =
            1.4826 * *stats::median_absolute_deviation(residuals) * std::sqrt(n / std::max(1.0, n - 1));
        if (spread <= 0)
            return;
        const double tests = static_cast<double>(residuals.size() * task.family);
        const double df = static_cast<double>(residuals.size() - std::min(residuals.size() - 2, lines));
        const double limit =
            spread * stats::t_quantile(1 - evidence.rules.tests.outlier_percent / 100 / 2 / tests, df);
        for (std::size_t line = 0; line < enough.size(); ++line)
            for (std::size_t i = trial.begin[line]; i < trial.begin[line + 1]; ++i)
                if (enough[line] && std::abs(residual[i]) > limit) // false for NaN
                    tell(evidence, task, trial.samples[i], residual[i], limit);
        std::sort(task.found.begin(), task.found.end(),
                  [](const Outlier& a, const Outlier& b) { return a.sample < b.sample; });
    }

    static void tell(const Evidence& evidence, Task& task, std::uint32_t sample, double residual,
                     double limit) {
        const auto& info = evidence.rules.constituents[task.constituent];
        const auto& line = evidence.batch.lines[evidence.batch.samples[sample].line];
        task.found.push_back(
            {sample, first_reading(evidence, task, sample),
             fmt::format("`{}` is {} {} the other samples of `{}` in `{}`{}, environment "
                         "taken off; the limit is {:.2f}",
                         evidence.batch.samples[sample].id, shown(std::abs(residual), limit, info.decimals),
                         residual < 0 ? "below" : "above", line.name, info.name,
                         on_dry_matter(evidence, task.constituent), limit)});
    }
};

} // namespace

const Rule& rule_outlier_in_line() {
    static const OutlierInLine rule;
    return rule;
}

} // namespace thresh::rules

// few-samples: a line whose mean rests on less than it should.
#include "rules/limits.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"few-samples", Severity::note, About::line, Phase::line, Action::nothing,
     "a line with fewer usable plots than planned", "a mean of few plots is uncertain, and its SD more so",
     "see which samples are missing or excluded in `todo`; keep it in mind when lines are compared",
     "`few_samples` of the rules in force, and the plots that the sample list promises"},
};

// Counts no further than to `enough`.
std::uint32_t usable_plots(const Evidence& evidence, const batch::Line& line, std::uint32_t enough = kNone) {
    std::uint32_t usable = 0;
    for (const std::uint32_t plot : line.plots) {
        if (usable >= enough)
            break;
        const auto& samples = evidence.batch.plots[plot].samples;
        usable += std::any_of(samples.begin(), samples.end(), [&](std::uint32_t sample) {
            const auto rows = evidence.batch.rows_of(sample);
            return std::any_of(rows.begin(), rows.end(),
                               [&](RowId row) { return evidence.so_far.verdict[row] <= Verdict::review; });
        });
    }
    return usable;
}

class FewSamples final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        for (std::uint32_t i = 0; i < evidence.batch.lines.size(); ++i) {
            const std::uint32_t enough = wanted(evidence, evidence.batch.lines[i]);
            if (usable_plots(evidence, evidence.batch.lines[i], enough) < enough)
                sink.subject(0, About::line, i);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Line& line = evidence.batch.lines[finding.subject];
        FindingText text;
        text.value = usable_plots(evidence, line);
        text.low = wanted(evidence, line);
        text.message = fmt::format("`{}`{} has {} of {} {} usable", line.name,
                                   line.trial.empty() ? "" : fmt::format(" in `{}`", line.trial), *text.value,
                                   *text.low, evidence.batch.has_plots ? "plots" : "samples");
        return text;
    }

  private:
    // A sample that neither list nor pattern gives a line is its own line, and more of it is not to be had.
    static bool own_line(const batch::Batch& batch, const batch::Line& line) {
        if (line.plots.size() != 1 || batch.plots[line.plots.front()].samples.size() != 1)
            return false;
        const batch::Sample& sample = batch.samples[batch.plots[line.plots.front()].samples.front()];
        return sample.entry == kNone && sample.id == line.name;
    }

    static std::uint32_t wanted(const Evidence& evidence, const batch::Line& line) {
        if (own_line(evidence.batch, line))
            return 1;
        return std::max(static_cast<std::uint32_t>(std::max(0, evidence.rules.few_samples)),
                        line.listed_plots);
    }
};

} // namespace

const Rule& rule_few_samples() {
    static const FewSamples rule;
    return rule;
}

} // namespace thresh::rules

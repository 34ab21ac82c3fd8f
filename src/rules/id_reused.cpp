// id-reused: one ID over so long a time that it hardly is one sample.
#include "rules/limits.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr std::int64_t kSecondsADay = 86400;

constexpr Declaration kDeclared[] = {
    {"id-reused", Severity::review, About::sample, Phase::repeats, Action::correct_id,
     "one ID was used over a long time", "two samples under one ID would be averaged as if they were one",
     "see whether it is one packet; else `rename` the earlier or later readings in the decisions file",
     "`id_reuse_days` of the rules in force (60 days, common practice)"},
};

// First and last time of a sample's readings.
struct Span {
    Time first, last;
};
Span span_of(const Evidence& evidence, std::uint32_t sample) {
    Span span;
    for (const RowId row : evidence.batch.rows_of(sample)) {
        const Time time = evidence.batch.block_of(row).time_of(evidence.batch.in_block(row));
        if (time.missing())
            continue;
        if (span.first.missing() || time < span.first)
            span.first = time;
        if (span.last.missing() || span.last < time)
            span.last = time;
    }
    return span;
}

class IdReused final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_samples(const Evidence& evidence, std::uint32_t first, std::uint32_t last,
                       Sink& sink) const override {
        for (std::uint32_t sample = first; sample < last; ++sample) {
            const auto rows = evidence.batch.rows_of(sample);
            if (rows.size() < 2)
                continue;
            const Span span = span_of(evidence, sample);
            if (span.first.missing())
                continue;
            const double days =
                static_cast<double>(span.last.seconds() - span.first.seconds()) / kSecondsADay;
            if (days > evidence.rules.tests.id_reuse_days)
                sink.subject(0, About::sample, sample, rows.front());
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const Span span = span_of(evidence, finding.subject);
        FindingText text;
        text.value = static_cast<double>((span.last.seconds() - span.first.seconds()) / kSecondsADay);
        text.high = evidence.rules.tests.id_reuse_days;
        text.message = fmt::format(
            "`{}` was read from {} to {}, over {} days", evidence.batch.samples[finding.subject].id,
            to_text(span.first).substr(0, 10), to_text(span.last).substr(0, 10), *text.value);
        return text;
    }
};

} // namespace

const Rule& rule_id_reused() {
    static const IdReused rule;
    return rule;
}

} // namespace thresh::rules

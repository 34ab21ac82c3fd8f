// id-reused: one ID over so long a time that it hardly is one sample.
#include "rules/key_values.hpp"
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

double days_between(Time first, Time last) {
    return static_cast<double>(last.seconds() - first.seconds()) / kSecondsADay;
}

// Takes in the times of a session's readings: none where they have none.
void widen(Span& span, const batch::Session& session) {
    if (session.start.missing())
        return;
    if (span.first.missing() || session.start < span.first)
        span.first = session.start;
    if (span.last.missing() || span.last < session.end)
        span.last = session.end;
}

// A sample's readings lie far apart in the files, its sessions do not: they hold its readings, and so tell of
// nearly every sample, or of the whole season, that it was not read over too long a time.
class LongestSpan {
  public:
    LongestSpan(const Evidence& evidence, double days) : evidence_(evidence), days_(days) {
        Span season;
        for (const batch::Session& session : evidence.batch.sessions)
            widen(season, session);
        season_is_short_ = is_short(season);
    }
    bool season_is_short() const { return season_is_short_; }
    bool sessions_are_short(std::uint32_t sample) const {
        const batch::Batch& batch = evidence_.batch;
        Span span;
        std::uint32_t last = kNone;
        for (std::size_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1];
             ++place) {
            const std::uint32_t session = evidence_.key_values->session(place);
            if (session == kNone)
                return false; // nothing is known of it
            if (session != last)
                widen(span, batch.sessions[session]);
            last = session;
        }
        return is_short(span);
    }

  private:
    bool is_short(const Span& span) const {
        return span.first.missing() || days_between(span.first, span.last) <= days_;
    }
    const Evidence& evidence_;
    double days_;
    bool season_is_short_ = false;
};

class IdReused final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_samples(const Evidence& evidence, std::uint32_t first, std::uint32_t last,
                       Sink& sink) const override {
        const double most = evidence.rules.tests.id_reuse_days;
        const LongestSpan longest(evidence, most);
        if (longest.season_is_short())
            return;
        for (std::uint32_t sample = first; sample < last; ++sample) {
            const auto rows = evidence.batch.rows_of(sample);
            if (rows.size() < 2 || longest.sessions_are_short(sample))
                continue;
            const Span span = span_of(evidence, sample);
            if (!span.first.missing() && days_between(span.first, span.last) > most)
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

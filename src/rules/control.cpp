// control-warning, control-action: a control sample off its target. A signal concerns its constituent only,
// and the samples read since the instrument's last good control. control-unjudged: nothing to judge it by.
#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/rules/control_series.hpp>

namespace thresh::rules {

namespace {

constexpr unsigned kWarning = 0, kAction = 1, kUnjudged = 2;

constexpr Declaration kDeclared[] = {
    {"control-warning", Severity::note, About::session, Phase::session, Action::look,
     "a control sample is beyond its warning limit",
     "one such reading in twenty is chance; several in a row are the beginning of drift",
     "read the control again; watch the next ones",
     "2 SD of the control (ISO 7870-2, from memory); `charts` of the rules in force"},
    {"control-action", Severity::review, About::session, Phase::session, Action::check_instrument,
     "a control sample is beyond its action limit, or drifts",
     "the instrument reads this constituent wrong, and every line by about the same amount",
     "find the cause, read the control until it is good, then read again what was read since the last good "
     "control",
     "3 SD of the control and CUSUM k 0.5, h 5 (NIST/SEMATECH e-Handbook 6.3.2), both widened so that all "
     "charts of an instrument together give at most one false action in a month of daily controls; run rules "
     "(Western Electric) cannot be widened so and stay warnings",
     true},
    {"control-unjudged", Severity::note, About::session, Phase::session, Action::settle,
     "a control sample without target or SD, and too few readings of it to estimate them",
     "it is read, but nothing is concluded from it: drift would pass unseen",
     "enter `controls` with target and SD in the rules file, or read it on until there are enough readings",
     "`estimate_from` of `charts` in the rules in force"},
};

class ControlRule final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        // By instrument, control and material: all its series, whatever constituent and calibration.
        struct Seen {
            bool charted = false, targeted = false;
            std::size_t readings = 0;
            RowId first = kNone;
        };
        std::map<std::tuple<TextId, std::uint32_t, std::uint8_t>, Seen> controls;
        const std::vector<ControlSeries> all = control_series(evidence.batch, evidence.rules);
        const GoodControls good = good_controls(evidence, all);
        for (const ControlSeries& series : all) {
            Seen& seen = controls[{series.instrument, series.sample, series.material}];
            seen.charted = seen.charted || series.charted();
            seen.targeted = seen.targeted || series.centre_given;
            seen.readings = std::max(seen.readings, series.points.size());
            seen.first = std::min(seen.first, series.points.front().row);
            if (series.charted())
                tell_signals(evidence, sink, series, good);
        }
        for (const auto& [key, seen] : controls)
            if (!seen.charted)
                sink.subject(kUnjudged, About::session, evidence.batch.session[seen.first], seen.first,
                             kNoConstituent, {},
                             sink.keep(unjudged(evidence, std::get<1>(key), seen.targeted, seen.readings)));
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    // By instrument, material and constituent: when a control of it was within its limits, in order. It
    // counts whichever control sample it was and under whatever calibration, as it is the instrument that was
    // good.
    using GoodControls = std::map<std::tuple<TextId, std::uint8_t, ConstituentId>, std::vector<Time>>;

    static std::string unjudged(const Evidence& evidence, std::uint32_t sample, bool targeted,
                                std::size_t readings) {
        const auto enough = static_cast<std::size_t>(evidence.rules.charts.estimate_from);
        return fmt::format("control `{}` has {}, and {}: it is not judged", evidence.batch.samples[sample].id,
                           targeted ? "a target but no `sd`" : "no target",
                           readings < enough
                               ? fmt::format("only {} of {} readings to estimate one from", readings, enough)
                               : fmt::format("its {} readings are equal, which tells no SD", readings));
    }

    static Time time_of(const batch::Batch& batch, RowId row) {
        return batch.block_of(row).time_of(batch.in_block(row));
    }

    static GoodControls good_controls(const Evidence& evidence, const std::vector<ControlSeries>& all) {
        GoodControls good;
        for (const ControlSeries& series : all) {
            if (!series.charted())
                continue;
            auto& times = good[{series.instrument, series.material, series.constituent}];
            for (const ControlPoint& point : series.points)
                if (const Time time = time_of(evidence.batch, point.row);
                    (point.signals & kActionSignals) == 0 && !point.off && !time.missing())
                    times.push_back(time);
        }
        for (auto& [of, times] : good)
            std::sort(times.begin(), times.end());
        return good;
    }

    static void tell_signals(const Evidence& evidence, Sink& sink, const ControlSeries& series,
                             const GoodControls& good) {
        for (const ControlPoint& point : series.points) {
            if (point.signals == 0)
                continue;
            const bool action = (point.signals & kActionSignals) != 0;
            sink.subject(action ? kAction : kWarning, About::session, evidence.batch.session[point.row],
                         point.row, series.constituent, {}, sink.keep(words(evidence, series, point)));
            if (action && sink.severity(kAction) >= Severity::review)
                mark_between(evidence, sink, series, point.row,
                             good.at({series.instrument, series.material, series.constituent}));
        }
    }

    static std::string words(const Evidence& evidence, const ControlSeries& series,
                             const ControlPoint& point) {
        const auto& info = evidence.rules.constituents[series.constituent];
        const double off = point.value - *series.centre;
        std::string text =
            fmt::format("control `{}`: `{}` is {} {} its {} of {:.{}f} ({:.1f} SD)",
                        evidence.batch.samples[series.sample].id, info.name,
                        shown(std::abs(off), std::nullopt, info.decimals), off < 0 ? "below" : "above",
                        series.centre_given ? "target" : "own mean", *series.centre, info.decimals,
                        std::abs(off) / *series.sd);
        for (std::uint32_t b = 0; b < 15; ++b)
            if ((point.signals & ~bit(stats::Signal::beyond_warning) & (1U << b)) != 0)
                text += fmt::format("; {}", stats::words(static_cast<stats::Signal>(1U << b)));
        return text;
    }

    // Values of the constituent read since the last good control before the bad one at `cause`, and after it
    // until a good one. A control without a time tells nothing of when.
    static void mark_between(const Evidence& evidence, Sink& sink, const ControlSeries& series, RowId cause,
                             const std::vector<Time>& good) {
        const batch::Batch& batch = evidence.batch;
        const Time at = time_of(batch, cause);
        if (at.missing())
            return;
        const auto [before, after] = std::equal_range(good.begin(), good.end(), at);
        const Time from = before == good.begin() ? Time() : *(before - 1); // missing: open
        const Time to = after == good.end() ? Time() : *after;
        for (const batch::Session& session : batch.sessions) {
            if (session.instrument != series.instrument)
                continue;
            for (const RowId row : session.rows) {
                const Time time = time_of(batch, row);
                if (batch.kind[row] != Kind::seed || time.missing() ||
                    batch.material[row] != series.material || (!from.missing() && time < from) ||
                    (!to.missing() && to < time))
                    continue;
                if (raw_of(evidence, row, series.constituent))
                    sink.mark(kAction, row, series.constituent, cause);
            }
        }
    }
};

} // namespace

const Rule& rule_control() {
    static const ControlRule rule;
    return rule;
}

} // namespace thresh::rules

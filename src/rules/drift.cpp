// session-offset, instruments-differ, moisture-dependence: drift that no control shows, put into words.
#include "rules/limits.hpp"
#include "rules/links.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace thresh::rules {

namespace {

constexpr unsigned kSession = 0, kInstruments = 1, kMoisture = 2;

constexpr Declaration kDeclared[] = {
    {"session-offset", Severity::review, About::session, Phase::drift, Action::look,
     "a session reads a constituent higher or lower than the other sessions of its instrument",
     "everything read in it is off by that much, and no control showed it; lines read in it are not "
     "comparable with the others",
     "look what was different (lamp, temperature, cup, operator); read some of its samples again in another "
     "session, and all of them when the offset is confirmed",
     "`drift_percent` over all sessions, materials and key constituents, t test on samples read in several "
     "sessions of an instrument, of more than 4,000 samples that two sessions share about so many by their "
     "IDs; "
     "never smaller than the repeatability SD"},
    {"instruments-differ", Severity::review, About::file, Phase::drift, Action::look,
     "two instruments read the same samples differently, or a trial is split over two that do",
     "lines read on one instrument cannot be compared with lines read on the other; where the plots of one "
     "trial are split over both, the difference goes into its line means",
     "read a trial on one instrument; let slope and bias of one instrument be adjusted (`adjust` of the "
     "rules "
     "file) once wet chemistry shows which is right",
     "`drift_percent` over all pairs, materials and key constituents, paired t test on at least 5 samples "
     "read on both, chosen like those of session-offset; never smaller than the repeatability SD"},
    {"moisture-dependence", Severity::review, About::file, Phase::drift, Action::look,
     "a constituent on dry basis changes with the moisture that the sample is read at",
     "wet and dry lots of one line get different values although the seed is the same; the moisture window "
     "is "
     "too wide for this calibration, or the calibration lacks seed of such moistures",
     "narrow `moisture_window` in the rules file, condition seed to one moisture, have the calibration made "
     "with seed of varied moisture",
     "`drift_percent` over all instruments, materials and key constituents, t test of the common slope of at "
     "least 5 samples read at moistures more than 0.5 points apart; the change over the moistures read is at "
     "least the repeatability SD"},
};

std::string_view name_of(const Evidence& evidence, TextId instrument) {
    return instrument == kNoText ? std::string_view("unnamed")
                                 : evidence.batch.readings.pool(TextField::instrument)[instrument];
}

Drift drift_of(const Evidence& evidence, OffsetsOf wanted) {
    const Links found = links(evidence);
    Drift drift;
    drift.sessions = session_offsets(evidence, found, wanted);
    drift.instruments = instrument_differences(evidence, found, drift.sessions);
    drift.moisture = moisture_slopes(evidence, found, drift.sessions);
    return drift;
}

class DriftRule final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const Drift drift = drift_of(evidence, OffsetsOf::shifted);
        for (const SessionOffset& offset : drift.sessions)
            if (offset.found.shifted)
                tell_session(evidence, sink, offset);
        for (const InstrumentDifference& pair : drift.instruments)
            if (pair.differ)
                tell_instruments(evidence, sink, pair);
        for (const MoistureSlope& slope : drift.moisture)
            if (slope.depends)
                tell_moisture(evidence, sink, slope);
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static void tell_session(const Evidence& evidence, Sink& sink, const SessionOffset& offset) {
        const batch::Session& session = evidence.batch.sessions[offset.session];
        sink.subject(kSession, About::session, offset.session, session.rows.front(), offset.constituent, {},
                     sink.keep(words(evidence, offset)));
        if (sink.severity(kSession) < Severity::review)
            return;
        for (const RowId row : session.rows)
            if (evidence.batch.kind[row] == Kind::seed && evidence.batch.material[row] == offset.material &&
                raw_of(evidence, row, offset.constituent))
                sink.mark(kSession, row, offset.constituent, session.rows.front());
    }

    static std::string words(const Evidence& evidence, const SessionOffset& offset) {
        const auto& info = evidence.rules.constituents[offset.constituent];
        const auto& found = offset.found;
        return fmt::format("session {} reads `{}` of {} {:.{}f} {} than {} of this instrument ({} samples "
                           "read in both; 95 % interval {:+.{}f} to {:+.{}f}){}",
                           evidence.batch.sessions[offset.session].label, info.name,
                           evidence.batch.material_names[offset.material], std::abs(found.offset),
                           info.decimals + 1, found.offset < 0 ? "lower" : "higher",
                           found.either ? "the one other session" : "the other sessions", found.links,
                           found.low, info.decimals + 1, found.high, info.decimals + 1,
                           found.either ? "; which of the two is off cannot be told" : "");
    }

    static void tell_instruments(const Evidence& evidence, Sink& sink, const InstrumentDifference& pair) {
        const auto& info = evidence.rules.constituents[pair.constituent];
        const std::string what = fmt::format(
            "{} reads `{}` of {} {:.{}f} {} than {}", name_of(evidence, pair.second), info.name,
            evidence.batch.material_names[pair.material], std::abs(pair.difference), info.decimals + 1,
            pair.difference < 0 ? "lower" : "higher", name_of(evidence, pair.first));
        tell_pair(evidence, sink, pair.row, pair.constituent,
                  fmt::format("{} ({} samples read on both; 95 % interval {:+.{}f} to {:+.{}f})", what,
                              pair.samples, pair.low, info.decimals + 1, pair.high, info.decimals + 1));
        tell_split_trials(evidence, sink, pair, what);
    }

    static void tell_pair(const Evidence& evidence, Sink& sink, RowId row, ConstituentId id,
                          std::string words) {
        sink.subject(kInstruments, About::file, evidence.batch.block_of(row).file, row, id, {},
                     sink.keep(std::move(words)));
    }

    // Trials of which some plots have usable readings on one of the two only, others on the other only.
    static void tell_split_trials(const Evidence& evidence, Sink& sink, const InstrumentDifference& pair,
                                  const std::string& what) {
        const batch::Batch& batch = evidence.batch;
        struct Split {
            std::size_t first = 0, second = 0;
            RowId row = kNone; // on the second
        };
        std::map<std::string_view, Split> trials;
        for (const batch::Plot& plot : batch.plots) {
            bool on_first = false, on_second = false;
            RowId row = kNone;
            for (const std::uint32_t sample : plot.samples)
                for (const RowId r : batch.rows_of(sample)) {
                    if (batch.material[r] != pair.material || evidence.so_far.verdict[r] > Verdict::review)
                        continue;
                    const TextId on = batch.block_of(r).text_of(TextField::instrument, batch.in_block(r));
                    on_first = on_first || on == pair.first;
                    on_second = on_second || on == pair.second;
                    if (on == pair.second)
                        row = std::min(row, r);
                }
            if (on_first == on_second)
                continue;
            Split& split = trials[batch.lines[plot.line].trial];
            ++(on_first ? split.first : split.second);
            split.row = std::min(split.row, row);
        }
        for (const auto& [trial, split] : trials)
            if (split.first > 0 && split.second > 0)
                tell_pair(
                    evidence, sink, split.row, pair.constituent,
                    fmt::format("{} is split over two instruments that differ: {} plots on {}, {} on {}; {}",
                                trial.empty() ? "the season" : fmt::format("trial `{}`", trial), split.first,
                                name_of(evidence, pair.first), split.second, name_of(evidence, pair.second),
                                what));
    }

    static void tell_moisture(const Evidence& evidence, Sink& sink, const MoistureSlope& slope) {
        const auto& info = evidence.rules.constituents[slope.constituent];
        sink.subject(
            kMoisture, About::file, evidence.batch.block_of(slope.row).file, slope.row, slope.constituent, {},
            sink.keep(fmt::format("`{}` of {} on dry basis {} by {:.{}f} for each percent point of "
                                  "moisture ({} samples read at moistures up to {:.1f} points apart; "
                                  "95 % interval {:+.{}f} to {:+.{}f})",
                                  info.name, evidence.batch.material_names[slope.material],
                                  slope.slope < 0 ? "falls" : "rises", std::abs(slope.slope),
                                  info.decimals + 1, slope.samples, slope.span, slope.low, info.decimals + 1,
                                  slope.high, info.decimals + 1)));
    }
};

} // namespace

Drift find_drift(const batch::Batch& batch, const Ruleset& rules, const Judgement& judgement,
                 bool all_sessions) {
    return drift_of({batch, rules, judgement}, all_sessions ? OffsetsOf::all : OffsetsOf::linked);
}

const Rule& rule_drift() {
    static const DriftRule rule;
    return rule;
}

} // namespace thresh::rules

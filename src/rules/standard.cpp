// standard-absent, standard-off: whether the wavelength scale was checked before samples were read, and
// whether it was right. Sessions are of one instrument, over all exports together, so the standard may stand
// in another file than the samples.
#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>

namespace thresh::rules {

namespace {

constexpr unsigned kAbsent = 0, kOff = 1;

constexpr Declaration kDeclared[] = {
    {"standard-absent", Severity::review, About::session, Phase::session, Action::check_instrument,
     "no wavelength standard was read before the samples of a session",
     "a shifted wavelength scale makes every prediction of the session wrong, and nothing else shows it",
     "read the standard at the start of every session; read samples of this one again when the next standard "
     "is off",
     "`standard` of the rules in force; reading it before each session is common practice", true},
    {"standard-off", Severity::review, About::session, Phase::session, Action::check_instrument,
     "the peak of the wavelength standard is off its place",
     "the wavelength scale has moved: every prediction of the session is wrong by an unknown amount",
     "let the instrument warm up, read the standard again, have it serviced when it stays off; read the "
     "samples again",
     "`standard` of the rules in force: polystyrene near 1143.6 nm, 0.5 nm review, 1.0 nm exclude (common "
     "practice)",
     true},
};

// What the standards of a session say about its samples.
struct Seen {
    RowId first_seed = kNone;
    RowId worst = kNone; // standard reading that counts, with the largest deviation
    double deviation = 0;
    RowId without_peak = kNone; // a standard reading without its column's value
    bool before = false;        // a standard with a peak stands before the first sample
};

Seen look(const Evidence& evidence, const batch::Session& session) {
    Seen seen;
    const auto consider = [&](RowId row, bool replaces) {
        const auto peak = raw_of(evidence, row, evidence.rules.standard.column);
        if (!peak) {
            seen.without_peak = row;
            return;
        }
        const double deviation = *peak - evidence.rules.standard.target;
        if (replaces || seen.worst == kNone || std::abs(deviation) > std::abs(seen.deviation)) {
            seen.worst = row;
            seen.deviation = deviation;
        }
        seen.before = seen.before || seen.first_seed == kNone;
    };
    for (const RowId row : session.rows) {
        if (evidence.batch.kind[row] == Kind::seed && seen.first_seed == kNone)
            seen.first_seed = row;
        // Before the samples the last reading counts: a standard is read again until it is right.
        if (evidence.batch.kind[row] == Kind::standard)
            consider(row, seen.first_seed == kNone);
    }
    return seen;
}

class StandardRule final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const Standard& standard = evidence.rules.standard;
        const auto& kinds = evidence.batch.kind;
        const bool any = std::find(kinds.begin(), kinds.end(), Kind::standard) != kinds.end();
        if (!any && standard.required == "never")
            return;
        if (!any && standard.required == "auto") {
            // Nobody exports standards here: said once, not about every session.
            if (std::find(kinds.begin(), kinds.end(), Kind::seed) != kinds.end())
                sink.subject(kAbsent, About::file, 0, kNone, kNoConstituent, Severity::note);
            return;
        }
        for (std::uint32_t s = 0; s < evidence.batch.sessions.size(); ++s) {
            const Seen seen = look(evidence, evidence.batch.sessions[s]);
            if (seen.first_seed == kNone)
                continue;
            if (!seen.before && standard.required != "never")
                sink.subject(kAbsent, About::session, s, evidence.batch.sessions[s].rows.front());
            if (seen.worst == kNone)
                continue;
            const double off = std::abs(seen.deviation);
            if (off > standard.exclude)
                sink.subject(kOff, About::session, s, seen.worst, standard.column,
                             sink.built_in_or(kOff, Severity::exclude));
            else if (off > standard.review)
                sink.subject(kOff, About::session, s, seen.worst, standard.column);
        }
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        const Standard& standard = evidence.rules.standard;
        FindingText text;
        if (finding.about == About::file) {
            text.message = "no reading of a wavelength standard in these exports: whether the wavelength "
                           "scale was right "
                           "cannot be said";
            return text;
        }
        const batch::Session& session = evidence.batch.sessions[finding.subject];
        const Seen seen = look(evidence, session);
        if (which == kAbsent) {
            const std::string& peak = evidence.rules.constituents[standard.column].name;
            if (seen.without_peak == kNone)
                text.message = fmt::format("no wavelength standard before the first sample of session {}",
                                           session.label);
            else if (seen.worst == kNone)
                text.message = fmt::format("the standard of session {} has no `{}`", session.label, peak);
            else
                text.message =
                    fmt::format("no wavelength standard with a `{}` before the first sample of session {}",
                                peak, session.label);
            return text;
        }
        text.value = standard.target + seen.deviation;
        const double tolerance =
            std::abs(seen.deviation) > standard.exclude ? standard.exclude : standard.review;
        text.low = standard.target - tolerance;
        text.high = standard.target + tolerance;
        text.message = fmt::format("the standard's peak is {} {} in session {}, {:.2f} off {} (tolerance {})",
                                   exported_text(evidence, seen.worst, standard.column), standard.unit,
                                   session.label, std::abs(seen.deviation), standard.target, tolerance);
        return text;
    }
};

} // namespace

const Rule& rule_standard() {
    static const StandardRule rule;
    return rule;
}

} // namespace thresh::rules

// A session is as good as the gravest open finding about it: exclude means that its readings do not count,
// review that they count and a person should look. The latest of each instrument is what a technician asks
// about in the morning.
#include "summary/page/parts.hpp"

#include <thresh/rules/control_series.hpp>

#include <algorithm>
#include <cmath>
#include <map>

namespace thresh::summary {

namespace {

using page::State;

void count_rows(const Season& season, const batch::Session& from, page::Session& made) {
    for (const RowId row : from.rows) {
        const Kind kind = season.batch.kind[row];
        made.standards += kind == Kind::standard ? 1U : 0U;
        made.controls += kind == Kind::control ? 1U : 0U;
        if (kind != Kind::seed)
            continue;
        ++made.readings;
        std::size_t* const counts[] = {&made.use, &made.review, &made.exclude, &made.superseded};
        ++*counts[static_cast<std::size_t>(season.judgement.verdict[row])];
    }
}

void add_troubles(const Season& season, std::uint32_t session, page::Session& made) {
    for (const Finding& finding : season.judgement.of_session(session)) {
        if (finding.severity == Severity::off || finding.settled)
            continue;
        const State state = finding.severity == Severity::exclude  ? State::bad
                            : finding.severity == Severity::review ? State::look
                                                                   : State::good;
        made.troubles.push_back(
            {std::string(rules::catalogue()[finding.code].code),
             rules::describe(finding, season.judgement, season.batch, season.rules).message, state});
        made.state = std::max(made.state, state);
    }
    std::stable_sort(made.troubles.begin(), made.troubles.end(),
                     [](const auto& a, const auto& b) { return a.state > b.state; });
    // Nothing was found, but nothing looked at the instrument either.
    const bool unchecked = made.state == State::good && made.standards == 0 && made.controls == 0;
    if (made.readings == 0 || (unchecked && made.use + made.review > 0))
        made.state = State::unknown;
    else if (made.state == State::good && made.use + made.review == 0)
        made.state = State::bad;
}

} // namespace

std::vector<page::Session> page_sessions(const Season& season) {
    const batch::Batch& batch = season.batch;
    std::vector<page::Session> sessions;
    for (std::uint32_t i = 0; i < batch.sessions.size(); ++i) {
        const batch::Session& from = batch.sessions[i];
        page::Session made;
        made.label = from.label;
        if (from.instrument != kNoText)
            made.instrument = batch.readings.pool(TextField::instrument)[from.instrument];
        made.start = from.start;
        made.end = from.end;
        count_rows(season, from, made);
        add_troubles(season, i, made);
        sessions.push_back(std::move(made));
    }
    for (const auto& series : rules::standard_series(batch, season.rules))
        for (const rules::ControlPoint& point : series.points) {
            const std::uint32_t session = batch.session[point.row];
            if (session == kNone)
                continue;
            auto& off = sessions[session].standard_off;
            off = std::max(off.value_or(0), std::abs(point.value - season.rules.standard.target));
        }
    std::stable_sort(sessions.begin(), sessions.end(), [](const page::Session& a, const page::Session& b) {
        if (a.start.missing() != b.start.missing())
            return b.start.missing();
        return a.start > b.start;
    });
    std::map<std::string, bool> seen;
    for (page::Session& session : sessions)
        if (session.readings > 0)
            session.last_of_instrument = seen.emplace(session.instrument, true).second;
    return sessions;
}

} // namespace thresh::summary

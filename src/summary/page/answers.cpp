// The five questions that a technician has in the morning, each answered in a sentence or two from the parts
// of the page that have been filled in already.
#include "summary/page/parts.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

using page::Answer;
using page::State;

std::string counted(std::size_t count, const char* one, const char* many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string capital(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
        text.front() = static_cast<char>(text.front() - 'a' + 'A');
    return text;
}

std::string when(const page::Session& session) {
    if (session.start.missing())
        return session.label;
    std::string text = to_text(session.start).substr(0, 16);
    std::replace(text.begin(), text.end(), 'T', ' ');
    return fmt::format("{}, {}", session.instrument.empty() ? "instrument not named" : session.instrument,
                       text);
}

// The last session of each instrument: of the season's last day, or the last at all.
Answer last_readings(const SeasonPage& page) {
    Answer made{"Can I trust the latest readings?", "", State::unknown, "trust"};
    // Not known stands between good and worth a look.
    const auto gravity = [](State state) {
        return state == State::good ? 0 : state == State::unknown ? 1 : state == State::look ? 2 : 3;
    };
    for (const page::Session& session : page.sessions) {
        if (!session.last_of_instrument)
            continue;
        const bool first = made.answer.empty();
        if (!first)
            made.answer += " ";
        made.answer += fmt::format("{}: {} of {} can be used", when(session), session.use + session.review,
                                   counted(session.readings, "reading", "readings"));
        if (session.review > 0)
            made.answer += fmt::format(", {} to review", session.review);
        if (session.state == State::good)
            made.answer += ", no open finding about the session.";
        else if (session.state == State::unknown && session.readings > 0)
            made.answer += ", neither a wavelength standard nor a control was read in the session.";
        else if (session.troubles.empty())
            made.answer += ".";
        else
            made.answer += fmt::format("; {}{}.", session.troubles.front().message,
                                       session.troubles.size() > 1
                                           ? fmt::format(" (and {} more)", session.troubles.size() - 1)
                                           : "");
        if (first || gravity(session.state) > gravity(made.state))
            made.state = session.state;
    }
    if (made.answer.empty())
        made.answer = "There is no reading of seed in these exports.";
    if (const auto& none = page.overview.without_value; !none.empty()) {
        made.answer += fmt::format(" No reading has a usable value of {}.", few_names(none, 4));
        made.state = std::max(made.state == State::unknown ? State::good : made.state, State::look);
    }
    const auto& assumed = page.overview.assumptions;
    if (!assumed.empty()) {
        made.answer += fmt::format(" {} had to be assumed about the exports.",
                                   counted(assumed.size(), "thing", "things"));
        made.state = std::max(made.state == State::unknown ? State::good : made.state, State::look);
    }
    return made;
}

Answer do_first(const SeasonPage& page) {
    Answer made{"What do I do first?", "Nothing is open.", State::good, "todo"};
    if (page.tasks.empty())
        return made;
    const page::Task& task = page.tasks.front();
    std::vector<std::string> names;
    for (const auto* items : {&task.packets, &task.others})
        for (const page::TaskItem& item : *items)
            names.push_back(item.sample.empty() ? item.place.substr(item.place.rfind('/') + 1) : item.sample);
    made.answer = fmt::format("{}: {}{} ({}).", capital(task.action), counted(names.size(), "item", "items"),
                              task.due.empty() ? "" : ", the first due " + task.due, few_names(names, 4));
    std::size_t items = 0;
    std::string due; // of the other kinds, the earliest
    for (const page::Task& one : page.tasks) {
        items += one.packets.size() + one.others.size();
        if (&one != &task && !one.due.empty() && (due.empty() || one.due < due))
            due = one.due;
    }
    if (items > names.size())
        made.answer += fmt::format(" Then {} of {}{}.", counted(items - names.size(), "item", "items"),
                                   counted(page.tasks.size() - 1, "other kind", "other kinds"),
                                   due.empty() ? "" : ", the first due " + due);
    made.state = State::look;
    return made;
}

Answer without_number(const SeasonPage& page) {
    Answer made{"Which lines have no number yet, and why?", "", State::good, "lines"};
    if (page.overview.lines == 0) {
        made.answer = page.sessions.empty()
                          ? "There is no line: no sample was read and none is listed."
                          : "There is no line: no reading belongs to one (sample not listed, or without ID).";
        made.state = State::unknown;
    } else if (page.missing.empty()) {
        made.answer =
            fmt::format("None: {}.", page.overview.lines == 1
                                         ? "the one line has a number"
                                         : fmt::format("all {} lines have a number", page.overview.lines));
    } else {
        const page::MissingLine& first = page.missing.front();
        made.answer = fmt::format("{} of {}. {}: {}.", page.missing.size(),
                                  counted(page.overview.lines, "line", "lines"), first.line, first.why);
        if (page.missing.size() > 1)
            made.answer += fmt::format(" The other {} below.", page.missing.size() - 1);
        made.state = State::look;
    }
    return made;
}

std::string name_of(const page::Chart& chart) {
    return chart.control.empty()
               ? fmt::format("wavelength standard on {}", chart.instrument)
               : fmt::format("{} of {} on {}", chart.quantity.name, chart.control, chart.instrument);
}

std::vector<std::string> drifts(const SeasonPage& page) {
    std::vector<std::string> names;
    for (const page::Estimate& estimate : page.estimates) {
        if (!estimate.signal)
            continue;
        const std::string how = estimate.kind == "moisture"
                                    ? std::string(" depends on moisture")
                                    : fmt::format(" {:+.2f} {}", estimate.value, estimate.quantity.unit);
        names.push_back(fmt::format("{} {}{}", estimate.name, estimate.quantity.name, how));
    }
    return names;
}

// What stands at the latest reading of each chart is told first: that is what the instrument does now.
Answer steady(const SeasonPage& page) {
    Answer made{"Is the instrument steady?", "", State::good, "charts"};
    std::vector<std::string> now, before, warnings;
    for (const page::Chart& chart : page.charts) {
        if (chart.points.empty())
            continue;
        if (chart.points.back().action)
            now.push_back(name_of(chart));
        else if (chart.actions > 0)
            before.push_back(name_of(chart));
        else if (chart.warnings > 0)
            warnings.push_back(name_of(chart));
    }
    const std::vector<std::string> drift = drifts(page);
    const auto charts = static_cast<std::size_t>(std::count_if(
        page.charts.begin(), page.charts.end(), [](const auto& chart) { return !chart.points.empty(); }));
    if (charts == 0 && page.estimates.empty()) {
        made.answer = "Nobody can say: neither a standard nor a control with limits nor a sample with usable "
                      "readings in two sessions is in these exports.";
        made.state = State::unknown;
        return made;
    }
    if (!now.empty())
        made.answer =
            fmt::format("No: beyond the action limits at the latest reading: {}.", few_names(now, 3));
    else if (charts > 0)
        made.answer =
            fmt::format("The latest reading of {} is within the action limits.",
                        charts == 1 ? "the one chart" : fmt::format("each of the {} charts", charts));
    else
        made.answer = "Neither a standard nor a control with limits is in these exports.";
    const auto add = [&](const char* what, const std::vector<std::string>& names) {
        if (!names.empty())
            made.answer +=
                fmt::format("{}{}: {}.", made.answer.empty() ? "" : " ", what, few_names(names, 3));
    };
    add("Beyond them earlier", before);
    add("Warnings", warnings);
    add("Drift", drift);
    if (charts == 0 && drift.empty())
        made.answer += " Samples read more than once show no drift.";
    const bool quiet = charts > 0 && before.empty() && warnings.empty() && drift.empty();
    made.state = !now.empty() ? State::bad : quiet ? State::good : State::look;
    return made;
}

Answer changed(const SeasonPage& page) {
    Answer made{"What changed a mean?", "", State::good, "changes"};
    if (page.changes.empty()) {
        made.answer = "Nothing: no reading that was left out or is to be reviewed moves a mean of a key "
                      "constituent in its last decimal.";
    } else {
        const page::ChangedMean& first = page.changes.front();
        made.answer = fmt::format("{} moved by what was left out or is to be reviewed. ",
                                  counted(page.changes.size(), "mean is", "means are"));
        if (first.moved > 0)
            made.answer +=
                fmt::format("The most: {} of {}, by {:.{}f} {}; {}.", first.quantity.name, first.line,
                            first.moved, int{first.quantity.decimals}, first.quantity.unit, first.why);
        else
            made.answer += fmt::format("Such as {} of {}, which rests on values to be reviewed alone; {}.",
                                       first.quantity.name, first.line, first.why);
        made.state = State::look;
    }
    if (page.decisions > 0)
        made.answer += fmt::format(" {} of the decisions file in force.",
                                   counted(page.decisions, "decision", "decisions"));
    if (page.adjusted_lines > 0)
        made.answer += fmt::format(" Values of {} are corrected by `adjust` of the rules file.",
                                   counted(page.adjusted_lines, "line", "lines"));
    return made;
}

} // namespace

void add_page_answers(SeasonPage& page) {
    page.answers = {last_readings(page), do_first(page), without_number(page), steady(page), changed(page)};
}

} // namespace thresh::summary

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
    for (const page::Session& session : page.sessions) {
        if (!session.last_of_instrument)
            continue;
        if (!made.answer.empty())
            made.answer += " ";
        made.answer += fmt::format("{}: {} of {} can be used", when(session), session.use + session.review,
                                   counted(session.readings, "reading", "readings"));
        if (session.review > 0)
            made.answer += fmt::format(", {} to review", session.review);
        if (session.state == State::good)
            made.answer += ", no open finding about the session.";
        else if (session.troubles.empty())
            made.answer += ".";
        else
            made.answer += fmt::format("; {}{}.", session.troubles.front().message,
                                       session.troubles.size() > 1
                                           ? fmt::format(" (and {} more)", session.troubles.size() - 1)
                                           : "");
        if (made.state == State::unknown || session.state > made.state)
            made.state = session.state;
    }
    if (made.answer.empty())
        made.answer = "There is no reading of seed in these exports.";
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
            names.push_back(item.sample.empty() ? item.place : item.sample);
    made.answer = fmt::format("{}: {}{} ({}).", capital(task.action), counted(names.size(), "item", "items"),
                              task.due.empty() ? "" : ", the first due " + task.due, few_names(names, 4));
    std::size_t items = 0;
    for (const page::Task& one : page.tasks)
        items += one.packets.size() + one.others.size();
    if (items > names.size())
        made.answer += fmt::format(" Then {} of {} other kinds.",
                                   counted(items - names.size(), "item", "items"), page.tasks.size() - 1);
    made.state = State::look;
    return made;
}

Answer without_number(const SeasonPage& page) {
    Answer made{"Which lines have no number yet, and why?", "", State::good, "lines"};
    if (page.overview.lines == 0) {
        made.answer = "There is no line: no sample was read and none is listed.";
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

Answer steady(const SeasonPage& page) {
    Answer made{"Is the instrument steady?", "", State::good, "charts"};
    std::vector<std::string> actions, warnings, drifts;
    std::size_t standards = 0, controls = 0;
    for (const page::Chart& chart : page.charts) {
        ++(chart.control.empty() ? standards : controls);
        const std::string name =
            chart.control.empty()
                ? fmt::format("wavelength standard on {}", chart.instrument)
                : fmt::format("{} of {} on {}", chart.quantity.name, chart.control, chart.instrument);
        if (chart.state == State::bad)
            actions.push_back(name);
        else if (chart.state == State::look)
            warnings.push_back(name);
    }
    for (const page::Estimate& estimate : page.estimates)
        if (estimate.signal)
            drifts.push_back(
                fmt::format("{} {}{}", estimate.name, estimate.quantity.name,
                            estimate.kind == "moisture"
                                ? " depends on moisture"
                                : fmt::format(" {:+.2f} {}", estimate.value, estimate.quantity.unit)));
    if (standards + controls == 0 && page.estimates.empty()) {
        made.answer = "Nobody can say: neither a standard nor a control with limits nor a sample read twice "
                      "is in these exports.";
        made.state = State::unknown;
        return made;
    }
    if (!actions.empty())
        made.answer = fmt::format("Beyond the action limits in this season: {}.", few_names(actions, 3));
    if (!warnings.empty())
        made.answer += fmt::format("{}Warnings: {}.", made.answer.empty() ? "" : " ", few_names(warnings, 3));
    if (!drifts.empty())
        made.answer += fmt::format("{}Drift: {}.", made.answer.empty() ? "" : " ", few_names(drifts, 3));
    if (made.answer.empty())
        made.answer = fmt::format("Yes: no signal in {} of standards and {} of controls.",
                                  counted(standards, "chart", "charts"), controls);
    made.state = !actions.empty()                     ? State::bad
                 : warnings.empty() && drifts.empty() ? State::good
                                                      : State::look;
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

// Can it be trusted: the five answers, then the account of every row, the sessions, and what was assumed.
#include "report/page/parts.hpp"

#include <fmt/format.h>

namespace thresh::report {

namespace {

constexpr std::size_t kMostSessions = 40, kMostFiles = 60, kMostAssumptions = 40;

void write_account(PageContext& context) {
    const auto& accounting = context.season.overview.accounting;
    const auto& total = accounting.total;
    Html& html = context.html;
    html.element("h3", "Every row accounted for");
    {
        TableWriter table(html,
                          fmt::format("{} of {}", counted(total.rows, "row", "rows"),
                                      counted(accounting.files.size(), "file", "files")),
                          {{"Rows"}, {"Number", true}, {"What became of them"}}, {.sortable = false});
        const std::array<std::pair<const char*, const char*>, 11> words = {
            {{"used as they are", "readings that count, nothing to review"},
             {"to review", "readings that count; a person should look at them"},
             {"excluded", "readings that do not count: findings.csv says why"},
             {"superseded", "readings that a later, clean one replaces"},
             {"standard", "readings of the wavelength standard"},
             {"control", "readings of control samples"},
             {"repeated", "readings exported before: counted once"},
             {"ignored", "left out by patterns of the rules"},
             {"outside selection", "left out by --material, --from or --to"},
             {"rejected", "not understood: rejected.csv holds them word for word"},
             {"not readings", "units, repeated headings, summaries, text between tables"}}};
        const std::size_t counts[] = {total.use,        total.review,       total.exclude,
                                      total.superseded, total.standard,     total.control,
                                      total.repeated,   total.ignored,      total.outside_selection,
                                      total.rejected,   total.not_a_reading};
        for (std::size_t i = 0; i < words.size(); ++i) {
            if (counts[i] == 0 && i > 3)
                continue;
            const auto row = table.row();
            table.heading(words[i].first);
            table.count(counts[i]);
            table.text(words[i].second);
        }
        const auto row = table.row("sum");
        table.heading("all rows");
        table.count(total.rows);
        table.text(total.adds_up() ? "the sum is right"
                                   : "the sum is wrong: report this fault of the program");
    }
    for (const std::string& refused : context.season.overview.refused)
        html.element("p", {{"class", "warn"}}, "Not read: " + shortened(refused, 1000));
}

void write_files(PageContext& context) {
    const auto& files = context.season.overview.accounting.files;
    Html& html = context.html;
    const auto details = html.open("details");
    html.element("summary", "File by file");
    TableWriter table(html, "Rows of each file",
                      {{"File"},
                       {"Rows", true},
                       {"Used as they are", true},
                       {"To review", true},
                       {"Excluded", true},
                       {"Superseded", true},
                       {"Others", true}});
    std::size_t written = 0;
    for (const auto& file : files) {
        if (written == kMostFiles || !context.room())
            break;
        ++written;
        const auto row = table.row();
        table.heading(file.source);
        table.count(file.rows);
        table.count(file.use);
        table.count(file.review);
        table.count(file.exclude);
        table.count(file.superseded);
        table.count(file.rows - file.use - file.review - file.exclude - file.superseded);
    }
    if (written < files.size())
        table.across(fmt::format("{} more files: run.json has all.", files.size() - written));
}

void write_session(TableWriter& table, Html& html, const page::Session& session, const std::string& unit) {
    const auto row = table.row();
    table.heading(session.instrument.empty() ? session.label : session.instrument);
    const std::string start = time_text(session.start), end = time_text(session.end);
    table.text(start);
    table.text(start.substr(0, 10) == end.substr(0, 10) && end.size() > 11 ? end.substr(11) : end);
    table.state(session.state);
    table.count(session.readings);
    table.count(session.use + session.review);
    table.count(session.review);
    table.count(session.exclude + session.superseded);
    if (session.standard_off)
        table.text(
            fmt::format("{}, at most {} {} off", session.standards, decimal(*session.standard_off, 2), unit));
    else
        table.text(session.standards == 0 ? "none" : fmt::format("{}, no peak", session.standards));
    table.count(session.controls);
    const auto cell = html.open("td", {{"class", "long"}});
    bool first = true;
    for (const page::Trouble& trouble : session.troubles) {
        html.text(first ? "" : "; ");
        first = false;
        html.sentence(shortened(trouble.message, 300));
        html.text(fmt::format(" [{}]", trouble.code));
    }
}

void write_sessions(PageContext& context) {
    Html& html = context.html;
    html.element("h3", "Sessions, the latest first");
    html.element("p", "A session is what one instrument read without a long pause. " +
                          (context.season.standard_target.empty()
                               ? std::string()
                               : "Wavelength standard: target " + context.season.standard_target + "."));
    if (context.season.sessions.empty()) {
        html.element("p", {{"class", "empty"}}, "There is no session: nothing was read.");
        return;
    }
    TableWriter table(html, "Sessions",
                      {{"Instrument"},
                       {"From"},
                       {"To"},
                       {"State"},
                       {"Readings", true, "of seed"},
                       {"Used", true},
                       {"To review", true, "of the used"},
                       {"Left out", true},
                       {"Standard"},
                       {"Controls", true},
                       {"Open findings about the session"}});
    std::size_t written = 0;
    for (const page::Session& session : context.season.sessions) {
        if (written == kMostSessions || !context.room())
            break;
        ++written;
        write_session(table, html, session, context.season.standard_unit);
    }
    if (const std::size_t left = context.season.sessions.size() - written; left > 0)
        table.across(fmt::format("{} earlier: {}.", counted(left, "session", "sessions"),
                                 context.rest("drift.csv", "drift")));
}

void write_assumptions(PageContext& context) {
    const auto& assumptions = context.season.overview.assumptions;
    Html& html = context.html;
    html.element("h3", "What had to be assumed");
    if (assumptions.empty()) {
        html.element("p", "Nothing: every column, unit, basis and date was settled.");
        return;
    }
    TableWriter table(html, "Assumptions, and what settles them",
                      {{"What"}, {"Where"}, {"Places", true}, {"What settles it"}}, {.sortable = false});
    std::size_t written = 0;
    for (const auto& assumed : assumptions) {
        if (written == kMostAssumptions || !context.room())
            break;
        ++written;
        const auto row = table.row();
        {
            const auto cell = html.open("th", {{"scope", "row"}, {"class", "long"}});
            html.sentence(fmt::format("{} [{}]", shortened(assumed.message, 400), assumed.code));
        }
        table.text(assumed.first_place);
        table.count(assumed.places);
        table.sentence(shortened(assumed.help, 400));
    }
    if (written < assumptions.size())
        table.across(fmt::format("{} more: {}.", assumptions.size() - written,
                                 context.rest("findings.csv", "findings")));
}

} // namespace

void write_answers(PageContext& context) {
    Html& html = context.html;
    const auto section = html.open("section", {{"id", "answers"}, {"aria-label", "Five answers"}});
    const auto list = html.open("dl", {{"class", "answers"}});
    for (const page::Answer& answer : context.season.answers) {
        const auto item = html.open("div");
        {
            const auto question = html.open("dt");
            html.text(answer.question + " ");
            write_state(html, answer.state);
        }
        const auto said = html.open("dd");
        html.sentence(shortened(answer.answer, 900));
        html.text(" ");
        html.element("a", {{"href", "#" + answer.section}, {"aria-label", "More: " + answer.question}},
                     "More");
    }
}

void write_trust(PageContext& context) {
    const auto section = open_section(context.html, "trust", "Can it be trusted?");
    write_account(context);
    write_files(context);
    write_sessions(context);
    write_assumptions(context);
}

} // namespace thresh::report

// Lines without a number first, because somebody waits for them; then each material and trial ranked. Of more
// than a hundred lines stand the first and the last fifty, the checks, and lines with flagged values.
#include "report/page/parts.hpp"

#include <thresh/plot/ranking.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::report {

namespace {

constexpr std::size_t kAllOf = 100, kEnd = 50, kMostFlagged = 60, kMostChecks = 30, kMostMissing = 100;

void write_missing(PageContext& context) {
    const auto& missing = context.season.missing;
    Html& html = context.html;
    html.element("h3", "No number yet");
    if (missing.empty()) {
        html.element("p", context.season.overview.lines == 0
                              ? "There is no line: no sample was read and none is listed."
                              : "Every line has a number.");
        return;
    }
    TableWriter table(html, counted(missing.size(), "line", "lines") + " without a usable reading",
                      {{"Line"}, {"Trial"}, {"Material"}, {"Why"}});
    std::size_t written = 0;
    for (const page::MissingLine& line : missing) {
        if (written == kMostMissing || !context.room())
            break;
        ++written;
        const auto row = table.row();
        table.heading(line.line + (line.check ? " \u25c6" : ""));
        table.text(line.trial);
        table.text(line.material);
        table.sentence(shortened(line.why, 500) +
                       (line.provisional ? "; its provisional mean stands below, marked ~" : ""));
    }
    if (written < missing.size())
        table.across(fmt::format("{} more: {} (status none).", missing.size() - written,
                                 context.rest("lines.csv", "lines")));
}

// Which lines of a group are shown, in their order.
std::vector<std::size_t> chosen(const page::LineGroup& group) {
    std::vector<std::size_t> shown;
    std::size_t flagged = 0, checks = 0;
    const std::size_t n = group.lines.size();
    for (std::size_t i = 0; i < n; ++i) {
        const page::Line& line = group.lines[i];
        bool show = n <= kAllOf || i < kEnd || i + kEnd >= n;
        if (!show && line.check && checks < kMostChecks) {
            ++checks;
            show = true;
        }
        if (!show && (line.flagged > 0 || line.provisional) && flagged < kMostFlagged) {
            ++flagged;
            show = true;
        }
        if (show)
            shown.push_back(i);
    }
    return shown;
}

void write_ranking(PageContext& context, const page::LineGroup& group,
                   const std::vector<std::size_t>& shown) {
    if (group.ranked_by >= group.columns.size())
        return;
    const page::Quantity& quantity = group.columns[group.ranked_by];
    plot::Ranking data;
    data.quantity = plotted(quantity);
    data.error_name = "standard error";
    data.row_name = "line";
    std::size_t unranked = 0; // with a mean, but no plot in the model
    for (const std::size_t i : shown) {
        const page::Line& line = group.lines[i];
        const page::Cell& cell = group.fit ? line.adjusted : line.cells[group.ranked_by];
        if (!std::isfinite(cell.mean)) {
            unranked += std::isfinite(line.cells[group.ranked_by].mean) ? 1 : 0;
            continue;
        }
        plot::RankedRow row;
        row.name = line.name;
        row.value = cell.mean;
        if (std::isfinite(cell.se))
            row.error = cell.se;
        row.check = line.check;
        row.provisional = line.provisional;
        row.flagged = line.flagged > 0;
        row.remark = fmt::format("n = {}", cell.n);
        data.rows.push_back(std::move(row));
    }
    if (data.rows.size() < 2)
        return; // nothing to compare
    const std::string where = group_name(group.material, group.trial);
    const plot::Frame frame{
        context.next_id(),
        fmt::format("{} by line{}: {}", quantity.title, group.fit ? ", adjusted" : "", where),
        group.fit
            ? "Lines by the predictions of the trial's model, the best first: adjusted means with their "
              "standard errors."
            : "Lines from the highest mean to the lowest, with standard errors over plots.",
        520};
    std::vector<std::string> notes;
    if (const std::size_t left = group.lines.size() - shown.size(); left > 0)
        notes.push_back(
            fmt::format("Of {} lines, {} from the middle are left out here.", group.lines.size(), left));
    if (unranked > 0)
        notes.push_back(fmt::format("Not drawn: {} with a mean and no usable plot in the model.",
                                    counted(unranked, "line", "lines")));
    write_figure(context, frame, plot::ranking(frame, data), fmt::format("{}", fmt::join(notes, " ")));
}

void write_mean(Html& html, const page::Cell& value, unsigned decimals) {
    const auto cell = html.open("td", {{"class", "number"}});
    if (!std::isfinite(value.mean))
        return;
    write_number(html, value.mean, decimals, value.shown);
    if (!std::isfinite(value.se))
        return;
    html.text(" ");
    html.element("span", {{"class", "unit"}}, "\u00b1 " + decimal(value.se, decimals + 1U));
}

void write_line(TableWriter& table, Html& html, const page::LineGroup& group, const page::Line& line) {
    const auto row = table.row(line.provisional ? "provisional-row" : line.check ? "check-row" : "");
    {
        const auto cell = html.open("th", {{"scope", "row"}, {"class", line.name.size() > 26 ? "long" : ""}});
        html.name(line.name);
        if (line.check) {
            html.element("span", {{"class", "check"}, {"aria-hidden", "true"}}, " \u25c6");
            html.element("span", {{"class", "words"}}, " check");
        }
    }
    {
        const auto cell = html.open("td", {{"class", "number"}});
        if (line.rank > 0)
            html.text(std::to_string(line.rank));
    }
    if (group.fit)
        write_mean(html, line.adjusted, group.columns[group.ranked_by].decimals);
    table.text(line.status);
    table.text(fmt::format("{} of {}", line.used, line.readings));
    for (std::size_t c = 0; c < group.columns.size(); ++c)
        write_mean(html, line.cells[c], group.columns[c].decimals);
}

// What the ranks of a group rest on.
void write_fit(Html& html, const page::Quantity& quantity, const page::TrialFit& fit) {
    std::string text = fmt::format("Ranked by the predictions (BLUP) of a model of the trial, {} = {}.",
                                   quantity.name, fit.model);
    if (fit.lsd)
        text += fmt::format(" Least significant difference of two adjusted means at {:g} %: {} {}.",
                            100 * fit.level, decimal(*fit.lsd, quantity.decimals + 1U), quantity.unit);
    if (fit.heritability)
        text += fmt::format(" Heritability (Cullis) {}.", decimal(*fit.heritability, 2));
    if (!fit.notes.empty())
        text += fmt::format(" Note: {}.", fmt::join(fit.notes, "; "));
    html.element("p", {{"class", "note"}}, text);
}

void write_group(PageContext& context, const page::LineGroup& group) {
    Html& html = context.html;
    const std::string where = group_name(group.material, group.trial);
    html.element("h3", where);
    if (group.columns.empty()) {
        html.element("p", {{"class", "empty"}},
                     counted(group.lines.size(), "line", "lines") + ", none with a number yet.");
        return;
    }
    const std::vector<std::size_t> shown = chosen(group);
    write_ranking(context, group, shown);
    std::vector<Column> columns = {{"Line"}, {"Rank", true}};
    if (group.fit) {
        const page::Quantity& ranked = group.columns[group.ranked_by];
        write_fit(html, ranked, *group.fit);
        columns.push_back({ranked.title + ", adjusted", true, unit_text(ranked)});
    }
    if (!group.no_fit.empty())
        html.element(
            "p", {{"class", "note"}},
            fmt::format("Ranked by means, not by a model of the trial: {}.", fmt::join(group.no_fit, "; ")));
    columns.insert(columns.end(), {{"Status"}, {"Readings used"}});
    for (const page::Quantity& quantity : group.columns)
        columns.push_back({quantity.title, true, unit_text(quantity)});
    {
        TableWriter table(html, fmt::format("Means \u00b1 standard errors: {}", where), columns,
                          {.sortable = true, .kind = "lines"});
        std::size_t next = 0;
        for (const std::size_t i : shown) {
            if (!context.room())
                break;
            if (i > next)
                table.across(fmt::format("{} not shown: {}", counted(i - next, "line", "lines"),
                                         context.rest("lines.csv", "lines")));
            write_line(table, html, group, group.lines[i]);
            next = i + 1;
        }
        if (next < group.lines.size())
            table.across(fmt::format("{} not shown: {}", counted(group.lines.size() - next, "line", "lines"),
                                     context.rest("lines.csv", "lines")));
    }
    if (!group.more.empty())
        html.element("p", {{"class", "note"}},
                     fmt::format("Also read or derived: {}; their means stand in {}.",
                                 fmt::join(group.more, ", "), context.rest("lines.csv", "lines")));
}

// How far each trial of the list has come.
void write_progress(PageContext& context) {
    constexpr std::size_t kMost = 60;
    const auto& trials = context.season.overview.trials;
    if (trials.empty())
        return;
    context.html.element("h3", "How far the trials are");
    TableWriter table(context.html, "Packets of each trial",
                      {{"Trial"}, {"Listed", true}, {"Read", true}, {"To read again", true}});
    std::size_t written = 0;
    for (const auto& trial : trials) {
        if (written == kMost || !context.room())
            break;
        ++written;
        const auto row = table.row();
        table.heading(trial.name.empty() ? "the sample list" : trial.name);
        table.count(trial.listed);
        table.count(trial.read);
        table.count(trial.again);
    }
    if (written < trials.size())
        table.across(fmt::format("{} more trials.", trials.size() - written));
}

} // namespace

void write_lines(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "lines", "Lines");
    write_missing(context);
    write_progress(context);
    if (context.season.groups.empty())
        return;
    const auto& groups = context.season.groups;
    const bool fitted = std::any_of(groups.begin(), groups.end(),
                                    [](const page::LineGroup& group) { return group.fit.has_value(); });
    html.element(
        "p",
        std::string("A line's mean is over its plots, each counted once; the standard error is that of the "
                    "plots' means. Ranks are by the mean of the constituent drawn, the highest first, "
                    "without a test: neighbours whose error bars overlap are not told apart.") +
            (fitted ? " Where a model of the trial was fitted, ranks are by its predictions, and adjusted "
                      "means are drawn."
                    : ""));
    write_legend(html);
    std::size_t written = 0;
    for (const page::LineGroup& group : context.season.groups) {
        if (!context.room())
            break;
        ++written;
        write_group(context, group);
    }
    if (written < context.season.groups.size())
        html.element("p", {{"class", "warn"}},
                     fmt::format("{} more materials and trials have no room here: {}.",
                                 context.season.groups.size() - written, context.rest("lines.csv", "lines")));
}

} // namespace thresh::report

// What changed a mean: the reasons stand once for a line, beside the means of its key constituents.
#include "report/page/parts.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>

namespace thresh::report {

namespace {

// A mean beside the one that counts; bold where it differs.
void write_other_mean(Html& html, const page::ChangedMean& change, std::optional<double> other) {
    const auto cell = html.open("td", {{"class", "number"}});
    if (!other) {
        html.text("none");
        return;
    }
    const std::string text = decimal(*other, change.quantity.decimals);
    if (change.now && text == decimal(*change.now, change.quantity.decimals))
        html.text(text);
    else
        html.element("strong", text);
}

// The rows of one line: its name and the reasons stand once, over all its constituents.
void write_moved(TableWriter& table, Html& html, const std::vector<const page::ChangedMean*>& changes) {
    constexpr std::size_t kMostConstituents = 12; // key constituents are few
    const std::size_t n = std::min(changes.size(), kMostConstituents);
    const std::string rows = std::to_string(n);
    for (std::size_t i = 0; i < n; ++i) {
        const page::ChangedMean& change = *changes[i];
        const auto row = table.row();
        if (i == 0) {
            {
                const auto cell =
                    html.open("th", {{"scope", "rowgroup"}, {"rowspan", rows}, {"class", "name"}});
                html.name(change.line);
            }
            for (const auto& [text, kind] :
                 {std::pair<std::string_view, std::string_view>(
                      change.trial.empty() ? change.material : change.trial, "name"),
                  std::pair<std::string_view, std::string_view>(change.why, "long")}) {
                const auto cell = html.open("td", {{"rowspan", rows}, {"class", kind}});
                kind == "long" ? html.sentence(shortened(text, 500)) : html.name(shortened(text, 500));
            }
        }
        table.text(change.quantity.title);
        {
            const auto cell = html.open("td", {{"class", "number"}});
            if (change.now)
                html.text(decimal(*change.now, change.quantity.decimals));
            html.text(" ");
            html.element("span", {{"class", "unit"}}, unit_text(change.quantity));
        }
        write_other_mean(html, change, change.certain);
        write_other_mean(html, change, change.all);
    }
}

} // namespace

void write_changes(PageContext& context) {
    constexpr std::size_t kMost = 40; // lines
    Html& html = context.html;
    const auto section = open_section(html, "changes", "What changed a mean");
    const auto& changes = context.season.changes;
    if (changes.empty()) {
        html.element("p",
                     "No reading that was left out or is to be reviewed moves a mean of a key constituent "
                     "in its last decimal.");
        return;
    }
    html.element("p",
                 "Means of key constituents that readings left out, or under review, move by half a unit "
                 "of the last decimal or more; the largest first. Values that are excluded "
                 "themselves, such as impossible ones, stay out of all three means.");
    std::map<std::array<std::string_view, 3>, std::vector<const page::ChangedMean*>> of_line;
    std::vector<std::array<std::string_view, 3>> order; // the largest change first
    for (const page::ChangedMean& change : changes) {
        auto& here = of_line[{change.material, change.trial, change.line}];
        if (here.empty())
            order.push_back({change.material, change.trial, change.line});
        here.push_back(&change);
    }
    TableWriter table(html, "Moved means",
                      {{"Line"},
                       {"Trial"},
                       {"Why"},
                       {"Constituent"},
                       {"Mean", true, "as in the table"},
                       {"Without values to review", true},
                       {"Had nothing been left out", true}},
                      {.sortable = false, .kind = "moved"});
    std::size_t written = 0;
    for (const auto& key : order) {
        if (written == kMost || !context.room())
            break;
        ++written;
        write_moved(table, html, of_line.at(key));
    }
    if (written < order.size())
        table.across(fmt::format("Means of {} moved less. `thresh trace` shows every step of one.",
                                 counted(order.size() - written, "more line", "more lines")));
}

} // namespace thresh::report

// Standard, controls and sessions over time, with the limits and signals that the rules judged by.
#include "report/page/parts.hpp"

#include <thresh/plot/control_chart.hpp>
#include <thresh/plot/intervals.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace thresh::report {

namespace {

constexpr std::size_t kMostFigures = 60;

plot::ChartPanel panel_of(const page::Chart& chart, std::string name) {
    plot::ChartPanel made;
    made.name = std::move(name);
    made.centre = chart.centre;
    made.warning_low = chart.warning_low;
    made.warning_high = chart.warning_high;
    made.action_low = chart.action_low;
    made.action_high = chart.action_high;
    for (const page::ChartPoint& point : chart.points)
        made.points.push_back({point.value, time_text(point.time), point.signals, point.action, false});
    return made;
}

// What every chart says, for people who do not see the figures.
void write_overview(PageContext& context) {
    TableWriter table(context.html, "Charts and their signals",
                      {{"Chart"},
                       {"Constituent"},
                       {"State"},
                       {"Readings", true},
                       {"Action signals", true},
                       {"Warnings", true},
                       {"Latest of the gravest"},
                       {"Limits"}});
    std::size_t written = 0;
    for (const page::Chart& chart : context.season.charts) {
        if (!context.room())
            break;
        ++written;
        const auto row = table.row();
        table.heading(chart.control.empty()
                          ? fmt::format("wavelength standard, {}", chart.instrument)
                          : fmt::format("{}, {}{}", chart.control, chart.instrument,
                                        chart.calibration.empty() ? "" : ", " + chart.calibration));
        table.text(fmt::format("{}, {}", chart.quantity.title, unit_text(chart.quantity)));
        table.state(chart.state);
        table.count(chart.points.size());
        table.count(chart.actions);
        table.count(chart.warnings);
        table.text(chart.last_signal);
        table.text(chart.limits);
    }
    if (written < context.season.charts.size())
        table.across(fmt::format("{} more: {}.", context.season.charts.size() - written,
                                 context.rest("drift.csv", "drift")));
}

// Charts that share a scale stand in one figure: standards of all instruments; a control's constituent.
void write_charts_of(PageContext& context, bool standards) {
    std::map<std::pair<std::string, std::string>, std::vector<const page::Chart*>> figures;
    std::vector<std::pair<std::string, std::string>> order;
    for (const page::Chart& chart : context.season.charts) {
        if (chart.control.empty() != standards || chart.points.empty())
            continue;
        const auto key = std::pair(chart.control, chart.quantity.name + chart.quantity.basis);
        if (figures.find(key) == figures.end())
            order.push_back(key);
        figures[key].push_back(&chart);
    }
    std::size_t drawn = 0;
    for (const auto& key : order) {
        if (drawn++ == kMostFigures) {
            context.html.element("p", {{"class", "warn"}},
                                 fmt::format("{} more charts have no room here: {}.",
                                             order.size() - kMostFigures,
                                             context.rest("drift.csv", "drift")));
            break;
        }
        const auto& charts = figures.at(key);
        plot::ControlChart data;
        data.quantity = plotted(charts.front()->quantity);
        data.point_name = "time";
        for (const page::Chart* chart : charts)
            data.panels.push_back(panel_of(
                *chart, chart->instrument + (chart->calibration.empty() ? "" : ", " + chart->calibration)));
        const plot::Frame frame{
            context.next_id(),
            standards ? std::string("Wavelength standard")
                      : fmt::format("Control {}: {}", key.first, charts.front()->quantity.title),
            "Readings in the order of time, with warning and action limits.", 520};
        write_figure(context, frame, plot::control_chart(frame, data));
    }
}

void write_estimates(PageContext& context, std::string_view kind, Literal heading, Literal words,
                     std::string_view line_name) {
    Html& html = context.html;
    std::map<std::pair<std::string, std::string>, std::vector<const page::Estimate*>> by_quantity;
    for (const page::Estimate& estimate : context.season.estimates)
        if (estimate.kind == kind)
            by_quantity[{estimate.material, estimate.quantity.name}].push_back(&estimate);
    if (by_quantity.empty())
        return;
    html.element("h3", heading.text());
    html.element("p", words.text());
    for (const auto& [about, estimates] : by_quantity) {
        plot::Intervals data;
        data.quantity = plotted(estimates.front()->quantity);
        if (kind == "moisture")
            data.quantity.unit += " for a percent point of moisture";
        data.quantity.decimals = 3;
        data.interval_name = "95 % confidence interval";
        data.row_name = kind == "moisture" ? "instrument" : std::string(kind);
        data.line = 0;
        data.line_name = line_name;
        for (const page::Estimate* estimate : estimates)
            data.rows.push_back({estimate->name, estimate->value, estimate->low, estimate->high,
                                 fmt::format("{}; {}", counted(estimate->links, "sample", "samples"),
                                             estimate->signal ? "signal" : "no signal")});
        const plot::Frame frame{context.next_id(),
                                fmt::format("{}: {}, {}", heading.text(), estimates.front()->quantity.title,
                                            group_name(about.first, {})),
                                "", 520};
        write_figure(context, frame, plot::intervals(frame, data));
    }
}

void write_unjudged(PageContext& context) {
    const auto& unjudged = context.season.unjudged;
    if (unjudged.empty())
        return;
    Html& html = context.html;
    html.element("h3", "Controls that nothing judges");
    const auto list = html.open("ul");
    std::size_t written = 0;
    for (const page::Unjudged& one : unjudged) {
        if (written++ == 30) {
            html.element("li", fmt::format("and {} more", unjudged.size() - 30));
            break;
        }
        const auto item = html.open("li");
        html.name(one.control);
        html.text(" on ");
        html.name(one.instrument);
        html.text(": " + shortened(one.why, 300));
    }
}

} // namespace

void write_charts(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "charts", "Standard, controls and sessions");
    if (context.season.charts.empty() && context.season.estimates.empty())
        html.element(
            "p", {{"class", "empty"}},
            "Neither a standard, nor a control with limits, nor a sample with usable readings in two "
            "sessions is in these exports: nothing says whether the instrument is steady.");
    if (!context.season.charts.empty())
        write_overview(context);
    write_charts_of(context, true);
    write_charts_of(context, false);
    write_unjudged(context);
    write_estimates(
        context, "session", "Sessions against the others",
        "How far a session reads off, from samples that were read in other sessions too. Among many "
        "sessions some intervals lie beside the line by chance: `signal` stands in the numbers where the "
        "rules take it for more.",
        "no offset");
    write_estimates(context, "instruments", "Instruments against each other",
                    "From samples read on both; sessions found to be off are left out.", "no difference");
    write_estimates(
        context, "moisture", "Dependence on moisture",
        "How much a value on dry basis changes with the moisture at which seed is read, from samples "
        "read at different moistures.",
        "no dependence");
}

} // namespace thresh::report

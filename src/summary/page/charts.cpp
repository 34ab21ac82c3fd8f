// Charts, limits and signals are those that the rules judged by (control_series.hpp, drift.hpp).
#include "summary/page/parts.hpp"

#include "summary/material_order.hpp"

#include <thresh/rules/control_series.hpp>
#include <thresh/rules/drift.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

using page::State;

std::string pooled(const batch::Batch& batch, TextField field, TextId id) {
    return id == kNoText ? std::string() : std::string(batch.readings.pool(field)[id]);
}

std::string signal_words(stats::Signals signals) {
    std::string words;
    for (std::uint32_t b = 0; b < 15; ++b)
        if ((signals & (1U << b)) != 0)
            words += fmt::format("{}{}", words.empty() ? "" : ", ",
                                 stats::words(static_cast<stats::Signal>(1U << b)));
    return words;
}

std::string standard_words(stats::Signals signals) {
    if (has(signals, stats::Signal::beyond_action))
        return "beyond the tolerance that excludes";
    return signals == 0 ? "" : "beyond the tolerance for review";
}

void add_points(const Season& season, const std::vector<rules::ControlPoint>& from, stats::Signals actions,
                std::string (*words)(stats::Signals), page::Chart& into) {
    bool gravest = false; // whether the last signal told is one of action
    for (const rules::ControlPoint& point : from) {
        page::ChartPoint made;
        made.value = point.value;
        made.time = season.batch.block_of(point.row).time_of(season.batch.in_block(point.row));
        made.signals = words(point.signals);
        made.action = (point.signals & actions) != 0;
        if (point.signals != 0) {
            ++(made.action ? into.actions : into.warnings);
            if (made.action || !gravest)
                into.last_signal =
                    fmt::format("{}{}{}", to_text(made.time), made.time.missing() ? "" : ": ", made.signals);
            gravest = gravest || made.action;
        }
        into.points.push_back(std::move(made));
    }
    into.state = into.actions > 0 ? State::bad : into.warnings > 0 ? State::look : State::good;
}

void add_standards(const Season& season, SeasonPage& page) {
    const rules::Standard& standard = season.rules.standard;
    page.standard_unit = standard.unit;
    page.standard_target =
        fmt::format("{} {}; review beyond {} {}, exclude beyond {} {}", standard.target, standard.unit,
                    standard.review, standard.unit, standard.exclude, standard.unit);
    for (const rules::StandardSeries& series : rules::standard_series(season.batch, season.rules)) {
        page::Chart made;
        made.instrument = pooled(season.batch, TextField::instrument, series.instrument);
        made.quantity = page_quantity(season, standard.column, {});
        made.quantity.unit = standard.unit;
        made.limits = "target and tolerances of the rules in force";
        made.centre = standard.target;
        made.warning_low = standard.target - standard.review;
        made.warning_high = standard.target + standard.review;
        made.action_low = standard.target - standard.exclude;
        made.action_high = standard.target + standard.exclude;
        add_points(season, series.points, bit(stats::Signal::beyond_action), standard_words, made);
        if (made.points.empty())
            made.state = State::unknown;
        page.charts.push_back(std::move(made));
    }
}

// Whether values of the constituent hang on moisture, as these exports state them.
bool converts(const Season& season, ConstituentId id) {
    return season.judgement.shares[id] == PartOf::sample && id != constituent::moisture;
}

page::Chart control_chart(const Season& season, const rules::ControlSeries& series) {
    page::Chart made;
    made.instrument = pooled(season.batch, TextField::instrument, series.instrument);
    made.control = season.batch.samples[series.sample].id;
    made.material = material_name(season.batch, series.material);
    made.calibration = pooled(season.batch, TextField::calibration, series.calibration);
    made.quantity = page_quantity(season, series.constituent,
                                  converts(season, series.constituent) ? to_text(series.basis) : "");
    made.limits = fmt::format("centre: {}; SD: {}", series.centre_given ? "target" : "mean of the readings",
                              series.sd_given ? "given" : "from moving ranges");
    made.centre = series.centre;
    made.warning_low = *series.centre - series.warning * *series.sd;
    made.warning_high = *series.centre + series.warning * *series.sd;
    made.action_low = *series.centre - series.action * *series.sd;
    made.action_high = *series.centre + series.action * *series.sd;
    add_points(season, series.points, rules::kActionSignals, signal_words, made);
    return made;
}

bool same_control(const rules::ControlSeries& a, const rules::ControlSeries& b) {
    return a.instrument == b.instrument && a.sample == b.sample && a.material == b.material &&
           a.calibration == b.calibration;
}

void add_controls(const Season& season, SeasonPage& page) {
    const auto all = rules::control_series(season.batch, season.rules);
    const int enough = season.rules.charts.estimate_from;
    for (std::size_t i = 0; i < all.size();) {
        std::vector<std::string> without;
        std::size_t most = 0; // readings of these
        std::size_t next = i;
        for (; next < all.size() && same_control(all[next], all[i]); ++next) {
            if (all[next].charted()) {
                page.charts.push_back(control_chart(season, all[next]));
            } else {
                without.push_back(season.rules.constituents[all[next].constituent].title);
                most = std::max(most, all[next].points.size());
            }
        }
        if (!without.empty())
            page.unjudged.push_back(
                {pooled(season.batch, TextField::instrument, all[i].instrument),
                 std::string(season.batch.samples[all[i].sample].id),
                 std::string(material_name(season.batch, all[i].material)),
                 fmt::format(
                     "{}: {}",
                     most < static_cast<std::size_t>(enough)
                         ? fmt::format("no target or SD, and fewer than {} readings to estimate one", enough)
                         : "no SD, for readings are equal",
                     few_names(without, without.size()))});
        i = next;
    }
}

page::Quantity dry(const Season& season, ConstituentId id) {
    return page_quantity(season, id, converts(season, id) ? "dry" : "");
}

// `2026-10-05 17:03 Bench East`: the time first, because it tells sessions apart.
std::string session_name(const batch::Batch& batch, const batch::Session& session) {
    std::string start = to_text(session.start).substr(0, 16);
    if (start.empty())
        return session.label;
    std::replace(start.begin(), start.end(), 'T', ' ');
    return fmt::format("{} {}", start, pooled(batch, TextField::instrument, session.instrument));
}

void add_estimates(const Season& season, SeasonPage& page) {
    const batch::Batch& batch = season.batch;
    const rules::Drift drift = rules::find_drift(batch, season.rules, season.judgement);
    for (const auto& offset : drift.sessions)
        if (offset.found.known)
            page.estimates.push_back({"session", session_name(batch, batch.sessions[offset.session]),
                                      std::string(material_name(batch, offset.material)),
                                      dry(season, offset.constituent), offset.found.links,
                                      offset.found.offset, offset.found.low, offset.found.high,
                                      offset.found.shifted});
    for (const auto& pair : drift.instruments)
        page.estimates.push_back({"instruments",
                                  fmt::format("{} less {}", pooled(batch, TextField::instrument, pair.second),
                                              pooled(batch, TextField::instrument, pair.first)),
                                  std::string(material_name(batch, pair.material)),
                                  dry(season, pair.constituent), pair.samples, pair.difference, pair.low,
                                  pair.high, pair.differ});
    for (const auto& slope : drift.moisture)
        page.estimates.push_back({"moisture", pooled(batch, TextField::instrument, slope.instrument),
                                  std::string(material_name(batch, slope.material)),
                                  dry(season, slope.constituent), slope.samples, slope.slope, slope.low,
                                  slope.high, slope.depends});
}

} // namespace

void add_page_charts(const Season& season, SeasonPage& page) {
    add_standards(season, page);
    add_controls(season, page);
    add_estimates(season, page);
}

} // namespace thresh::summary

// Limits are widened so that false alarms stay within their budget however many constituents are watched: at
// most about one false action per instrument and month of daily controls, half of it for single points, half
// for the CUSUM. With up to six constituents the usual 3 SD and h = 5 already keep it.
#include "rules/control_series.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/basis/convert.hpp>
#include <thresh/basis/values.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/summary.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

constexpr double kControlsAMonth = 30;
constexpr double kBudgetEach = 0.5; // false actions a month for single points, and again for the CUSUM

// Two-sided tail so that `watched` charts of 30 points give half a false action.
double action_limit(double wanted, std::size_t watched) {
    const double p = kBudgetEach / (kControlsAMonth * static_cast<double>(std::max<std::size_t>(1, watched)));
    return std::max(wanted, stats::normal_quantile(1 - std::min(0.5, p / 2)));
}

// Siegmund's approximation of the run length between false signals, two-sided, k = 0.5:
// exp(b) - b - 1 with b = h + 1.166 (468 for h = 5). Solved for h by a few fixed-point steps.
double cusum_decision(double wanted, double k, std::size_t watched) {
    const double length =
        kControlsAMonth * static_cast<double>(std::max<std::size_t>(1, watched)) / kBudgetEach;
    double b = std::log(length + 1);
    for (int step = 0; step < 20; ++step)
        b = std::log(length + b + 1);
    return std::max(wanted, b * 0.5 / std::max(k, 0.1) - 1.166);
}

const ControlTarget* target_of(const batch::Batch& batch, const Ruleset& rules, std::string_view sample,
                               TextId instrument, std::uint8_t material, ConstituentId constituent) {
    const std::string_view on =
        instrument == kNoText ? std::string_view() : batch.readings.pool(TextField::instrument)[instrument];
    for (const Control& control : rules.controls) {
        if (!batch::matches(control.sample, sample) || !batch::matches(control.instrument, on))
            continue;
        if (!control.material.empty() &&
            (material == batch::kNoMaterial || control.material != batch.material_names[material]))
            continue;
        if (const auto at = control.targets.find(constituent); at != control.targets.end())
            return &at->second;
    }
    return nullptr;
}

void set_limits(ControlSeries& series, const ControlTarget* target, const ChartOptions& options) {
    std::vector<double> values;
    for (const ControlPoint& point : series.points)
        values.push_back(point.value);
    const bool enough = static_cast<int>(values.size()) >= options.estimate_from;
    if (target != nullptr) {
        series.centre = target->target;
        series.centre_given = true;
        series.sd = target->sd;
        series.sd_given = target->sd.has_value();
    } else if (enough) {
        series.centre = stats::mean(values);
    }
    if (!series.sd && enough)
        if (const auto chart = stats::individuals_chart(values, 0))
            series.sd = chart->sd;
}

void set_signals(ControlSeries& series, const ChartOptions& options, std::size_t watched) {
    if (!series.charted())
        return;
    series.warning = options.warning;
    series.action = action_limit(options.action, watched);
    std::vector<double> z;
    for (const ControlPoint& point : series.points)
        z.push_back((point.value - *series.centre) / *series.sd);
    std::vector<stats::Signals> runs(z.size(), 0), sums(z.size(), 0), averages(z.size(), 0);
    if (options.western_electric)
        runs = stats::run_rules(z, 0, 1, stats::western_electric);
    if (options.cusum)
        sums = stats::tabular_cusum(z, 0, options.cusum_k,
                                    cusum_decision(options.cusum_h, options.cusum_k, watched))
                   .signals;
    if (options.ewma)
        averages = stats::ewma_chart(z, 0, 1, options.ewma_lambda, options.ewma_limit).signals;
    stats::Signals before = 0;
    for (std::size_t i = 0; i < z.size(); ++i) {
        stats::Signals own = 0;
        if (std::abs(z[i]) > series.warning)
            own |= bit(stats::Signal::beyond_warning);
        if (std::abs(z[i]) > series.action)
            own |= bit(stats::Signal::beyond_action);
        // A sum that stays beyond its limit while the points are back is told when it begins.
        const stats::Signals lasting = sums[i] | averages[i];
        const stats::Signals begun = lasting & ~before;
        before = lasting;
        series.points[i].signals = own | (runs[i] & ~bit(stats::Signal::beyond_action)) | begun;
    }
}

} // namespace

std::vector<ControlSeries> control_series(const batch::Batch& batch, const Ruleset& rules) {
    using Key = std::tuple<TextId, std::uint32_t, std::uint8_t, TextId, ConstituentId>;
    std::map<Key, ControlSeries> all;
    for (const batch::Session& session : batch.sessions) {
        for (const RowId row : session.rows) {
            if (batch.kind[row] != Kind::control || batch.sample[row] == kNone)
                continue;
            const Block& block = batch.block_of(row);
            const std::size_t at = batch.in_block(row);
            const auto moisture = basis::moisture_of(block, at);
            for (std::size_t c = 0; c < block.table->numbers.size(); ++c) {
                const Column& column = block.table->numbers[c];
                if (column.part_of == PartOf::none)
                    continue;
                const auto raw = basis::raw_value(block, at, c);
                if (!raw)
                    continue;
                const Key key{session.instrument, batch.sample[row], batch.material[row],
                              block.text_of(TextField::calibration, at), column.constituent};
                const ControlTarget* target =
                    target_of(batch, rules, batch.samples[batch.sample[row]].id, session.instrument,
                              batch.material[row], column.constituent);
                ControlSeries& series = all[key];
                series.basis = target != nullptr ? target->basis : Basis::dry();
                const bool converts =
                    column.part_of == PartOf::sample && column.constituent != constituent::moisture;
                const auto value =
                    converts ? basis::restate(*raw, column.basis, series.basis, moisture) : raw;
                if (value)
                    series.points.push_back({row, *value, 0});
            }
        }
    }
    std::map<TextId, std::size_t> watched; // charts of an instrument's busiest control
    std::vector<ControlSeries> list;
    for (auto& [key, series] : all) {
        if (series.points.empty())
            continue;
        std::tie(series.instrument, series.sample, series.material, series.calibration, series.constituent) =
            key;
        set_limits(series,
                   target_of(batch, rules, batch.samples[series.sample].id, series.instrument,
                             series.material, series.constituent),
                   rules.charts);
        watched[series.instrument] += series.charted();
        list.push_back(std::move(series));
    }
    for (ControlSeries& series : list)
        set_signals(series, rules.charts, watched[series.instrument]);
    return list;
}

} // namespace thresh::rules

// Limits are widened so that false alarms stay within their budget however many constituents are watched: at
// most one false action per instrument and month of daily controls, shared evenly by single points, CUSUM and
// EWMA, as far as they are in use. With few constituents the usual limits already keep it.
#include <thresh/batch/materials.hpp>
#include <thresh/rules/control_series.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/basis/convert.hpp>
#include <thresh/basis/values.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/run_length.hpp>
#include <thresh/stats/summary.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

constexpr double kControlsAMonth = 30;
constexpr double kFalseActions = 1; // a month and instrument

// Limits of one chart, in SD of the control, when `watched` charts share an instrument's budget.
struct Limits {
    double action, cusum, ewma;
};

Limits limits_for(const ChartOptions& options, std::size_t watched) {
    const double kinds = 1.0 + (options.cusum ? 1 : 0) + (options.ewma ? 1 : 0);
    const double run_length =
        std::max(3.0, kControlsAMonth * kinds * static_cast<double>(std::max<std::size_t>(1, watched)) /
                          kFalseActions);
    Limits limits{std::max(options.action, stats::shewhart_limit(run_length)), 0, 0};
    if (options.cusum)
        limits.cusum = std::max(options.cusum_h, stats::cusum_decision(options.cusum_k, run_length));
    if (options.ewma)
        limits.ewma = std::max(options.ewma_limit, stats::ewma_width(options.ewma_lambda, run_length));
    return limits;
}

// Of the first control that matches, even where another one names the constituent.
const ControlTarget* target_of(const batch::Batch& batch, const Ruleset& rules, std::string_view sample,
                               TextId instrument, std::uint8_t material, ConstituentId constituent) {
    const std::string_view on =
        instrument == kNoText ? std::string_view() : batch.readings.pool(TextField::instrument)[instrument];
    for (const Control& control : rules.controls) {
        if (!batch::matches(control.sample, sample) || !batch::matches(control.instrument, on))
            continue;
        const std::string_view read_as =
            material == batch::kNoMaterial ? std::string_view() : batch.material_names[material];
        if (!control.material.empty() && read_as != control.material &&
            !batch::presents(read_as, control.material))
            continue;
        const auto at = control.targets.find(constituent);
        return at == control.targets.end() ? nullptr : &at->second;
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

// An SD from few readings is uncertain itself, and normal limits would be passed too often: Student's t takes
// their place. A mean moving range of n readings has about 0.62 (n - 1) degrees of freedom (from memory).
double widening(double limit, std::size_t readings) {
    const double df = std::max(1.0, 0.62 * (static_cast<double>(readings) - 1));
    return -stats::t_quantile(stats::normal_upper(limit), df) / limit;
}

void set_signals(ControlSeries& series, const ChartOptions& options, const Limits& limits) {
    if (!series.charted())
        return;
    const double wider = series.sd_given ? 1.0 : widening(limits.action, series.points.size());
    series.warning = options.warning;
    series.action = limits.action * wider;
    series.cusum = limits.cusum * wider;
    series.ewma = limits.ewma * wider;
    std::vector<double> z;
    for (const ControlPoint& point : series.points)
        z.push_back((point.value - *series.centre) / *series.sd);
    std::vector<stats::Signals> runs(z.size(), 0), sums(z.size(), 0), averages(z.size(), 0);
    if (options.western_electric)
        runs = stats::run_rules(z, 0, 1, stats::western_electric);
    if (options.cusum)
        sums = stats::tabular_cusum(z, 0, options.cusum_k, series.cusum).signals;
    if (options.ewma)
        averages = stats::ewma_chart(z, 0, 1, options.ewma_lambda, series.ewma).signals;
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
        series.points[i].off = lasting != 0 && std::abs(z[i]) > options.cusum_k;
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
    std::map<std::size_t, Limits> known;
    for (ControlSeries& series : list) {
        const std::size_t charts = watched[series.instrument];
        auto [at, fresh] = known.try_emplace(charts);
        if (fresh)
            at->second = limits_for(rules.charts, charts);
        set_signals(series, rules.charts, at->second);
    }
    return list;
}

std::vector<StandardSeries> standard_series(const batch::Batch& batch, const Ruleset& rules) {
    std::map<TextId, StandardSeries> all;
    for (const batch::Session& session : batch.sessions)
        for (const RowId row : session.rows) {
            if (batch.kind[row] != Kind::standard)
                continue;
            StandardSeries& series = all[session.instrument];
            series.instrument = session.instrument;
            const Block& block = batch.block_of(row);
            const auto column = block.table->find(rules.standard.column);
            const auto peak = column ? basis::raw_value(block, batch.in_block(row), *column) : std::nullopt;
            if (!peak) {
                ++series.without_peak;
                continue;
            }
            const double off = std::abs(*peak - rules.standard.target);
            stats::Signals signals = 0;
            if (off > rules.standard.review)
                signals |= bit(stats::Signal::beyond_warning);
            if (off > rules.standard.exclude)
                signals |= bit(stats::Signal::beyond_action);
            series.points.push_back({row, *peak, signals});
        }
    std::vector<StandardSeries> list;
    for (auto& [instrument, series] : all)
        list.push_back(std::move(series));
    return list;
}

} // namespace thresh::rules

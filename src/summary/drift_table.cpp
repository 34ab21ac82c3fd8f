// Every row is made of facts that the rules found; here they are only put side by side. One row of the table
// is about one thing: see `kind`.
#include "summary/text_chart.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <thresh/rules/control_series.hpp>
#include <thresh/rules/drift.hpp>
#include <thresh/stats/summary.hpp>
#include <thresh/summary/columns.hpp>
#include <thresh/summary/tables.hpp>

namespace thresh::summary {

namespace {

using stats::Signal;

constexpr std::uint8_t kDecimals = 3;
// Run-to-run SD of a sound wavelength scale, nm (common practice).
constexpr double kPeakSd = 0.1;

class DriftTable {
  public:
    DriftTable(const Season& season, bool charts)
        : season_(season), batch_(season.batch), charts_(charts), table_("drift", columns(charts)) {
        for (std::size_t i = 0; i < table_.columns().size(); ++i)
            place_[table_.columns()[i].name] = i;
    }

    std::unique_ptr<Table> make() {
        for (const auto& series : rules::standard_series(batch_, season_.rules))
            add_standard(series);
        const auto controls = rules::control_series(batch_, season_.rules);
        for (std::size_t i = 0; i < controls.size(); ++i) {
            if (controls[i].charted())
                add_control(controls[i]);
            if (i + 1 == controls.size() || !same_control(controls[i], controls[i + 1]))
                add_unjudged(controls, i);
        }
        const rules::Drift drift =
            rules::find_drift(batch_, season_.rules, season_.judgement, /*all_sessions=*/true);
        add_sessions(drift.sessions);
        add_instruments(drift.instruments);
        add_moisture(drift.moisture);
        for (const auto& precision : rules::precision_found(batch_, season_.rules, season_.judgement))
            add_precision(precision);
        return std::make_unique<StoredTable>(std::move(table_));
    }

  private:
    static std::vector<OutColumn> columns(bool charts) {
        std::vector<OutColumn> made;
        for (const TableDeclaration& table : table_declarations())
            if (table.name == "drift")
                for (const ColumnDeclaration& column : table.columns) {
                    if (!column.when.empty() && !charts)
                        continue;
                    made.push_back(declared_column("drift", column.name));
                    made.back().decimals = kDecimals;
                }
        return made;
    }

    void begin(const char* kind) {
        row_.assign(table_.columns().size(), {});
        set("kind", std::string(kind));
    }
    void end() { table_.add(std::move(row_)); }
    void set(const char* column, std::string text) {
        if (!text.empty())
            row_[place_.at(column)].value = std::move(text);
    }
    void set(const char* column, double number) { row_[place_.at(column)].value = number; }
    void set(const char* column, const std::optional<double>& number) {
        if (number)
            set(column, *number);
    }
    void count(const char* column, std::size_t n) {
        row_[place_.at(column)].value = static_cast<std::int64_t>(n);
    }
    void time(const char* column, Time at) {
        if (!at.missing())
            row_[place_.at(column)].value = at;
    }
    // What the row is about, in one cell.
    void subject(std::string text) {
        if (charts_)
            set("subject", std::move(text));
    }
    void chart(std::string text) {
        if (charts_)
            set("chart", std::move(text));
    }

    std::string instrument(TextId id) const {
        return id == kNoText ? "" : std::string(batch_.readings.pool(TextField::instrument)[id]);
    }
    std::string material(std::uint8_t index) const {
        return index == batch::kNoMaterial ? "" : batch_.material_names[index];
    }
    Time time_of(RowId row) const { return batch_.block_of(row).time_of(batch_.in_block(row)); }
    void constituent(ConstituentId id, std::string basis) {
        const ConstituentInfo& info = season_.rules.constituents[id];
        set("constituent", info.name);
        set("unit", info.unit);
        set("basis", std::move(basis));
    }
    // Drift is looked for on dry basis; what is no share of the sample is compared as read.
    std::string dry(ConstituentId id) const {
        return season_.judgement.shares[id] == PartOf::sample && id != constituent::moisture ? "dry" : "";
    }

    void points(const std::vector<rules::ControlPoint>& all, double low, double high) {
        count("n", all.size());
        if (all.empty())
            return;
        time("from", time_of(all.front().row));
        time("to", time_of(all.back().row));
        std::vector<double> values;
        for (const auto& point : all)
            values.push_back(point.value);
        set("mean", stats::mean(values));
        if (low < high)
            chart(run_chart(values, low, high));
    }

    // `2 action, 3 warning; last 2026-10-08T21:14: beyond ...`, and the strongest of them.
    void signals(const std::vector<rules::ControlPoint>& all, stats::Signals action_signals,
                 std::string (*words_of)(stats::Signals)) {
        std::size_t actions = 0, warnings = 0;
        const rules::ControlPoint* last = nullptr;
        for (const auto& point : all) {
            if (point.signals == 0)
                continue;
            const bool action = (point.signals & action_signals) != 0;
            ++(action ? actions : warnings);
            if (action || actions == 0)
                last = &point;
        }
        const char* good = all.empty() ? "not judged" : "good";
        set("state", std::string(actions > 0 ? "action" : warnings > 0 ? "warning" : good));
        if (last == nullptr)
            return;
        set("signals",
            fmt::format("{}{}{}; last {}: {}", actions > 0 ? fmt::format("{} action", actions) : "",
                        actions > 0 && warnings > 0 ? ", " : "",
                        warnings > 0 ? fmt::format("{} warning", warnings) : "", to_text(time_of(last->row)),
                        words_of(last->signals)));
    }

    static std::string control_words(stats::Signals signals) {
        std::string words;
        for (std::uint32_t b = 0; b < 15; ++b)
            if ((signals & (1U << b)) != 0)
                words += fmt::format("{}{}", words.empty() ? "" : ", ",
                                     stats::words(static_cast<Signal>(1U << b)));
        return words;
    }
    static std::string standard_words(stats::Signals signals) {
        return has(signals, Signal::beyond_action) ? "beyond the tolerance that excludes"
                                                   : "beyond the tolerance for review";
    }

    void add_standard(const rules::StandardSeries& series) {
        const rules::Standard& standard = season_.rules.standard;
        begin("standard");
        set("instrument", instrument(series.instrument));
        subject(instrument(series.instrument));
        constituent(standard.column, "");
        set("unit", standard.unit);
        set("centre", standard.target);
        set("centre_is", std::string("target"));
        set("warning_low", standard.target - standard.review);
        set("warning_high", standard.target + standard.review);
        set("action_low", standard.target - standard.exclude);
        set("action_high", standard.target + standard.exclude);
        points(series.points, standard.target - standard.exclude, standard.target + standard.exclude);
        signals(series.points, bit(Signal::beyond_action), standard_words);
        std::vector<double> peaks;
        for (const auto& point : series.points)
            peaks.push_back(point.value);
        if (const auto sd = stats::standard_deviation(peaks)) {
            set("sd", *sd);
            set("sd_is", std::string("of the readings"));
            set("offset", *stats::mean(peaks) - standard.target);
            if (peaks.size() >= 5 && *sd > kPeakSd && standard.unit == "nm")
                note(fmt::format("SD above {} nm: have the instrument looked at", kPeakSd));
        }
        if (series.without_peak > 0)
            note(fmt::format("{} of its readings without `{}`", series.without_peak,
                             season_.rules.constituents[standard.column].name));
        end();
    }

    // Adds to `signals`.
    void note(const std::string& text) {
        auto& cell = row_[place_.at("signals")].value;
        const auto* before = std::get_if<std::string>(&cell);
        cell = before == nullptr ? text : *before + "; " + text;
    }

    static bool same_control(const rules::ControlSeries& a, const rules::ControlSeries& b) {
        return a.instrument == b.instrument && a.sample == b.sample && a.material == b.material &&
               a.calibration == b.calibration;
    }

    void begin_control(const rules::ControlSeries& series) {
        begin("control");
        set("instrument", instrument(series.instrument));
        subject(fmt::format("{} {}", instrument(series.instrument), batch_.samples[series.sample].id));
        set("material", material(series.material));
        set("sample", std::string(batch_.samples[series.sample].id));
        if (series.calibration != kNoText)
            set("calibration", std::string(batch_.readings.pool(TextField::calibration)[series.calibration]));
    }

    // One row for all constituents of the control that ends at `last` which have no chart.
    void add_unjudged(const std::vector<rules::ControlSeries>& all, std::size_t last) {
        std::string without_target, without_sd;
        std::size_t most = 0;
        for (std::size_t i = last + 1; i-- > 0 && same_control(all[i], all[last]);) {
            if (all[i].charted())
                continue;
            std::string& names = all[i].centre ? without_sd : without_target;
            names = season_.rules.constituents[all[i].constituent].name + (names.empty() ? "" : ", ") + names;
            most = std::max(most, all[i].points.size());
        }
        if (most == 0)
            return;
        begin_control(all[last]);
        count("n", most);
        set("state", std::string("not judged"));
        const auto enough = static_cast<std::size_t>(season_.rules.charts.estimate_from);
        if (!without_target.empty())
            note(fmt::format("no target, {} of {} readings to estimate one: {}", most, enough,
                             without_target));
        if (!without_sd.empty() && most < enough)
            note(fmt::format("no SD, {} of {} readings to estimate one: {}", most, enough, without_sd));
        else if (!without_sd.empty())
            note(fmt::format("no SD, for readings are equal: {}", without_sd));
        end();
    }

    void add_control(const rules::ControlSeries& series) {
        begin_control(series);
        constituent(series.constituent, dry(series.constituent).empty() ? "" : to_text(series.basis));
        set("centre", series.centre);
        if (series.centre)
            set("centre_is", std::string(series.centre_given ? "target" : "mean of the readings"));
        set("sd", series.sd);
        if (series.sd)
            set("sd_is", std::string(series.sd_given ? "given" : "from moving ranges"));
        const double warning = series.warning * *series.sd, action = series.action * *series.sd;
        set("warning_low", *series.centre - warning);
        set("warning_high", *series.centre + warning);
        set("action_low", *series.centre - action);
        set("action_high", *series.centre + action);
        points(series.points, *series.centre - action, *series.centre + action);
        signals(series.points, rules::kActionSignals, control_words);
        if (const auto* mean = std::get_if<double>(&row_[place_.at("mean")].value))
            set("offset", *mean - *series.centre);
        end();
    }

    void add_sessions(const std::vector<rules::SessionOffset>& all) {
        std::map<std::pair<std::uint8_t, ConstituentId>, double> reach; // of the charts
        for (const auto& offset : all)
            if (offset.found.known) {
                double& widest = reach[{offset.material, offset.constituent}];
                widest = std::max({widest, std::abs(offset.found.low), std::abs(offset.found.high)});
            }
        for (const auto& offset : all) {
            const batch::Session& session = batch_.sessions[offset.session];
            begin("session");
            set("instrument", instrument(session.instrument));
            set("session", session.label);
            // The year goes without saying on a screen.
            std::string start = to_text(session.start);
            std::replace(start.begin(), start.end(), 'T', ' ');
            subject(start.empty()
                        ? session.label
                        : fmt::format("{} {}", instrument(session.instrument), start.substr(5, 11)));
            time("from", session.start);
            time("to", session.end);
            set("material", material(offset.material));
            constituent(offset.constituent, dry(offset.constituent));
            count("n", offset.readings);
            count("links", offset.found.links);
            if (offset.found.known) {
                set("offset", offset.found.offset);
                set("offset_low", offset.found.low);
                set("offset_high", offset.found.high);
                set("state", std::string(offset.found.shifted ? "offset" : "no offset"));
                if (offset.found.left_out > 0)
                    note(fmt::format("{} samples left out: mixed up, they seem", offset.found.left_out));
                const double widest = reach.at({offset.material, offset.constituent});
                if (widest > 0)
                    chart(interval_chart(offset.found.low, offset.found.offset, offset.found.high, widest));
            } else {
                set("state", std::string("not estimable"));
                note(offset.found.reason);
            }
            if (offset.readings == 1)
                note("a session of one reading");
            end();
        }
    }

    void add_instruments(const std::vector<rules::InstrumentDifference>& all) {
        for (const auto& pair : all) {
            begin("instruments");
            set("instrument", instrument(pair.second));
            set("against", instrument(pair.first));
            subject(fmt::format("{} - {}", instrument(pair.second), instrument(pair.first)));
            set("material", material(pair.material));
            constituent(pair.constituent, dry(pair.constituent));
            count("n", pair.readings);
            count("links", pair.samples);
            set("offset", pair.difference);
            set("offset_low", pair.low);
            set("offset_high", pair.high);
            set("state", std::string(pair.differ ? "differ" : "no difference"));
            if (const double widest = std::max(std::abs(pair.low), std::abs(pair.high)); widest > 0)
                chart(interval_chart(pair.low, pair.difference, pair.high, widest));
            end();
        }
    }

    void add_moisture(const std::vector<rules::MoistureSlope>& all) {
        for (const auto& slope : all) {
            begin("moisture");
            set("instrument", instrument(slope.instrument));
            subject(instrument(slope.instrument));
            set("material", material(slope.material));
            constituent(slope.constituent, dry(slope.constituent));
            count("links", slope.samples);
            set("offset", slope.slope);
            set("offset_low", slope.low);
            set("offset_high", slope.high);
            set("state", std::string(slope.depends ? "depends" : "no dependence"));
            if (const double widest = std::max(std::abs(slope.low), std::abs(slope.high)); widest > 0)
                chart(interval_chart(slope.low, slope.slope, slope.high, widest));
            end();
        }
    }

    void add_precision(const rules::Precision& precision) {
        begin("precision");
        set("material", material(precision.material));
        constituent(precision.constituent, dry(precision.constituent));
        set("repeatability_sd", precision.repeatability);
        count("repeatability_df", static_cast<std::size_t>(precision.repeatability_df));
        set("intermediate_sd", precision.intermediate);
        count("links", precision.between_samples);
        if (charts_) {
            std::string found =
                precision.repeatability ? fmt::format("SD {:.3f}", *precision.repeatability) : "SD";
            if (precision.intermediate)
                found += fmt::format("{} between {:.3f}", precision.repeatability ? "," : "",
                                     *precision.intermediate);
            chart(found);
        }
        end();
    }

    const Season season_;
    const batch::Batch& batch_;
    bool charts_;
    StoredTable table_;
    std::map<std::string, std::size_t> place_;
    std::vector<Value> row_;
};

} // namespace

std::unique_ptr<Table> drift_table(const Season& season, bool charts) {
    return DriftTable(season, charts).make();
}

} // namespace thresh::summary

// moisture-low, moisture-high, moisture-impossible: the window in which NIR predictions of seed can be
// trusted. It guards the calibration, so it holds whatever basis results are wanted on.
#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/rules/conditioning.hpp>
#include <thresh/rules/read_later.hpp>

namespace thresh::rules {

namespace {

constexpr unsigned kLow = 0, kHigh = 1, kImpossible = 2;

constexpr Declaration kDeclared[] = {
    {"moisture-low", Severity::exclude, About::reading, Phase::reading, Action::condition_and_read,
     "the seed was too dry when it was read",
     "calibrations are made on seed of 5 to 8 % moisture; outside, every constituent is predicted wrong",
     "let the seed take up moisture in humid air and read it again",
     "`moisture_window` of the rules in force, bounds inclusive; 5 to 8 % is common practice", true},
    {"moisture-high", Severity::exclude, About::reading, Phase::reading, Action::condition_and_read,
     "the seed was too wet when it was read",
     "calibrations are made on seed of 5 to 8 % moisture; outside, every constituent is predicted wrong",
     "dry the seed gently and read it again; seed for planting only in air below about 40 C (common "
     "practice)",
     "`moisture_window` of the rules in force, bounds inclusive; 5 to 8 % is common practice", true},
    {"moisture-impossible", Severity::exclude, About::reading, Phase::reading, Action::read_again,
     "a moisture that no seed can have",
     "nothing can be put on another basis with it, and the reading itself is not to be trusted",
     "read the sample again; correct the export when the decimal mark was lost",
     "0 to 100 %, and `possible` of the rules in force", true},
};

const Range* possible_moisture(const Material* material) {
    if (material == nullptr)
        return nullptr;
    const auto at = material->possible.find(constituent::moisture);
    return at == material->possible.end() || at->second.empty() ? nullptr : &at->second.front();
}

bool is_impossible(double moisture, const Range* possible) {
    if (!basis::valid_moisture(moisture))
        return true;
    return possible != nullptr &&
           ((possible->low && moisture < *possible->low) || (possible->high && moisture > *possible->high));
}

// Moistures that no code tells.
CellWindow usual_moistures(const Material* material) {
    double low = 0, high = 100;
    const auto narrow = [&](const std::optional<double>& from, const std::optional<double>& to) {
        low = std::max(low, from.value_or(low));
        high = std::min(high, to.value_or(high));
    };
    if (const Range* possible = possible_moisture(material))
        narrow(possible->low, possible->high);
    if (material != nullptr)
        narrow(material->window.low, material->window.high);
    return {low, high, 1};
}

// Drying or wetting aims at the middle of the window.
double aim(const MoistureWindow& window) {
    if (window.low && window.high)
        return (*window.low + *window.high) / 2;
    return window.high ? *window.high : *window.low;
}

Conditioning condition(const MoistureWindow& window, double moisture, std::optional<double> mass_g) {
    Conditioning made;
    made.moisture = moisture;
    made.target = aim(window);
    made.percent_of_mass = basis::mass_at(100, moisture, made.target);
    made.mass_g = mass_g;
    if (mass_g)
        made.stop_at_g = *mass_g * made.percent_of_mass / 100;
    return made;
}

bool is_within(const MoistureWindow& window, double moisture) {
    return (!window.low || moisture >= *window.low) && (!window.high || moisture <= *window.high);
}

std::string in_words(const Conditioning& how) {
    const bool dry = how.moisture > how.target;
    std::string text = fmt::format("{} to {} % moisture: stop at {:.1f} % of today's mass",
                                   dry ? "dry" : "moisten", how.target, how.percent_of_mass);
    if (how.mass_g)
        text += fmt::format(" ({:.0f} g of {:.0f} g)", *how.stop_at_g, *how.mass_g);
    if (dry)
        text += "; seed for planting only in air below about 40 C";
    return text + "; then read again";
}

// Of the packet's last reading after `row`, if any has one.
std::optional<double> latest_moisture(const Evidence& evidence, RowId row) {
    const batch::Batch& batch = evidence.batch;
    std::optional<double> latest;
    RowId last = row;
    for (const RowId other :
         batch.sample[row] == kNone ? std::span<const RowId>() : batch.rows_of(batch.sample[row]))
        if (const auto moisture = moisture_of(evidence, other);
            moisture && basis::valid_moisture(*moisture) && read_later(batch, other, last)) {
            latest = moisture;
            last = other;
        }
    return latest;
}

class Moisture final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        const auto column = block.table->find(constituent::moisture);
        if (!column)
            return;
        std::uint8_t current = batch::kNoMaterial;
        const Material* material = nullptr;
        CellWindow usual = usual_moistures(material);
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                continue;
            if (evidence.batch.material[id] != current) {
                current = evidence.batch.material[id];
                material = evidence.rules.material(current);
                usual = usual_moistures(material);
            }
            if (usual.holds(block.cell(row, *column)))
                continue;
            const auto moisture = basis::raw_value(block, row, *column);
            if (!moisture)
                continue;
            if (is_impossible(*moisture, possible_moisture(material))) {
                sink.reading(kImpossible, id, {}, kNone, constituent::moisture);
                continue;
            }
            if (material == nullptr)
                continue;
            const MoistureWindow& window = material->window;
            if (window.low && *moisture < *window.low)
                sink.reading(kLow, id, mild(sink, kLow, *window.low - *moisture, window), kNone,
                             constituent::moisture);
            if (window.high && *moisture > *window.high)
                sink.reading(kHigh, id, mild(sink, kHigh, *moisture - *window.high, window), kNone,
                             constituent::moisture);
        }
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        const double moisture = *raw_of(evidence, finding.row, constituent::moisture);
        const Material* material = evidence.rules.material(evidence.batch.material[finding.row]);
        FindingText text;
        text.value = moisture;
        text.basis = "as-is";
        const std::string exported = exported_text(evidence, finding.row, constituent::moisture);
        if (which == kImpossible) {
            const Range* possible = possible_moisture(material);
            text.low = possible != nullptr && possible->low ? *possible->low : 0;
            text.high = possible != nullptr && possible->high ? *possible->high : 100;
            text.message =
                fmt::format("moisture {} % is not between {} and {} %", exported, *text.low, *text.high);
            return text;
        }
        const MoistureWindow& window = material->window;
        text.low = window.low;
        text.high = window.high;
        const double limit = which == kLow ? *window.low : *window.high;
        const auto sep = material->sep.find(constituent::moisture);
        const bool within_error = sep != material->sep.end() && std::abs(moisture - limit) < sep->second;
        text.message = fmt::format(
            "moisture {} % is {} {} %, the {} end of the window for {}{}", exported,
            which == kLow ? "below" : "above", limit, which == kLow ? "dry" : "wet", material->name,
            within_error ? fmt::format(", by less than its uncertainty of {} %", sep->second)
                         : std::string());
        // A packet that was read again since has the moisture of that reading.
        const double today = latest_moisture(evidence, finding.row).value_or(moisture);
        text.action = is_within(window, today)
                          ? std::string("read again: its last reading is within the window")
                          : in_words(condition(window, today,
                                               evidence.batch.list.mass_g(entry_of(evidence, finding.row))));
        return text;
    }

  private:
    // Within the margin beyond a bound a reading is looked at, not thrown out.
    static std::optional<Severity> mild(const Sink& sink, unsigned which, double beyond,
                                        const MoistureWindow& window) {
        constexpr double kRounding = 1e-9; // 8.3 - 8 is a little more than 0.3
        return beyond <= window.margin + kRounding && window.margin > 0
                   ? std::optional(sink.at_most(which, Severity::review))
                   : std::nullopt;
    }
};

} // namespace

std::optional<Conditioning> conditioning(const Finding& finding, const batch::Batch& batch,
                                         const Ruleset& rules) {
    const std::string_view code = catalogue()[finding.code].code;
    if ((code != kDeclared[kLow].code && code != kDeclared[kHigh].code) || finding.row == kNone)
        return std::nullopt;
    const Judgement none;
    const Evidence evidence{batch, rules, none};
    const auto moisture = raw_of(evidence, finding.row, constituent::moisture);
    const Material* material = rules.material(batch.material[finding.row]);
    if (!moisture || material == nullptr || (!material->window.low && !material->window.high))
        return std::nullopt;
    const double today = latest_moisture(evidence, finding.row).value_or(*moisture);
    if (is_within(material->window, today))
        return std::nullopt;
    return condition(material->window, today, batch.list.mass_g(entry_of(evidence, finding.row)));
}

const Rule& rule_moisture() {
    static const Moisture rule;
    return rule;
}

} // namespace thresh::rules

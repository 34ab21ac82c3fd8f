// Shows the rules in force from the Ruleset itself, not from the texts they were read from: what is shown is
// what judges. Limits are written out in full and the text extends nothing, so that it means the same under
// any built-in rules. Inherited entries (`like`) are written out too.
#include "rules/config/build.hpp"
#include "rules/config/show_entries.hpp"
#include "rules/config/write_text.hpp"

#include <thresh/rules/rules_text.hpp>

#include <fmt/format.h>

namespace thresh::rules {

namespace {

class Shower {
  public:
    explicit Shower(const Ruleset& rules) : rules_(rules) {}

    std::string text() {
        add("extends", "[]", "complete: stands on nothing");
        scalars();
        section("columns", columns());
        section("materials", materials());
        standard();
        section("controls", controls());
        if (const std::string ignore = when_json(rules_.batch.ignore); ignore != "{}")
            add("ignore", ignore, origin("ignore"));
        section("traits", traits());
        checks();
        severity();
        options();
        std::string files = fmt::format("{}", fmt::join(rules_.files, ", "));
        for (char& c : files)
            c = static_cast<unsigned char>(c) < 0x20U ? '?' : c;
        return fmt::format("// Rules in force, from: {}. After each entry: where it came from.\n{}\n",
                           files.empty() ? "built-in" : files, block(lines_, 0));
    }

  private:
    void add(std::string_view key, const std::string& value, std::string comment = {}) {
        lines_.push_back({fmt::format("\"{}\": {}", key, value), std::move(comment)});
    }
    void section(std::string_view key, const std::vector<Line>& lines) {
        if (!lines.empty())
            add(key, block(lines, 1));
    }
    std::string origin(const std::string& path) const { return origin_text(origins_, path); }
    const std::string& name(ConstituentId id) const { return rules_.constituents[id].name; }

    void scalars() {
        static constexpr const char* kBelow[] = {"omit", "zero", "half", "limit"};
        if (rules_.batch.sample_id)
            add("sample_id", json_text(*rules_.batch.sample_id), origin("sample_id"));
        add("check_characters", json_text(rules_.check_characters.empty() ? "none" : rules_.check_characters),
            origin("check_characters"));
        add("below_limit", json_text(kBelow[static_cast<std::size_t>(rules_.below_limit)]),
            origin("below_limit"));
        add("few_samples", fmt::format("{}", rules_.few_samples), origin("few_samples"));
        add("session_gap_hours", fmt::format("{}", rules_.batch.session_gap_hours),
            origin("session_gap_hours"));
        add("nitrogen_factor", fmt::format("{}", rules_.nitrogen_factor), origin("nitrogen_factor"));
        add("dark_coats", json_texts(rules_.dark_coats), origin("dark_coats"));
    }

    std::vector<Line> columns() const {
        std::vector<Line> lines;
        if (!rules_.ignored_headings.empty())
            lines.push_back({"\"ignore\": " + json_texts(rules_.ignored_headings), origin("columns.ignore")});
        for (const ColumnRule& rule : rules_.columns) {
            const std::string key = rule.time          ? "time"
                                    : rule.field       ? std::string(field_info(*rule.field).name)
                                    : rule.constituent ? name(*rule.constituent)
                                                       : std::string();
            Members members;
            members.texts("headings", rule.headings);
            if (rule.part_of)
                members.text("part_of", to_text(*rule.part_of));
            if (rule.basis)
                members.add("basis", basis_json(*rule.basis));
            if (rule.unit)
                members.add("unit", json_text(*rule.unit));
            lines.push_back({fmt::format("\"{}\": {}", key, members.object()), origin("columns." + key)});
        }
        for (const auto& [key, headings] : rules_.list_headings)
            if (key != "sample" && key != "material" && key != "time") // shown above
                lines.push_back(
                    {fmt::format("\"{}\": {}", key, Members().texts("headings", headings).object()),
                     origin("columns." + key)});
        return lines;
    }

    std::vector<Line> materials() const {
        std::vector<Line> lines;
        for (const Material& material : rules_.materials)
            lines.push_back(
                {json_text(material.name) + ": " + block(material_lines(material, rules_, origins_), 2)});
        return lines;
    }

    void standard() {
        const Standard& standard = rules_.standard;
        Members members;
        if (const std::string when = when_json(rules_.batch.standard); when != "{}")
            members.add("when", when);
        members.text("column", name(standard.column))
            .number("target", standard.target)
            .number("review", standard.review)
            .number("exclude", standard.exclude)
            .add("unit", json_text(standard.unit))
            .text("required", standard.required)
            .text("source", standard.origin.source);
        add("standard", members.object(), place_of(standard.origin));
    }

    std::vector<Line> controls() const {
        std::vector<Line> lines;
        for (const std::string& sample : rules_.batch.controls) {
            std::vector<Line> items;
            for (const Control& control : rules_.controls)
                if (control.sample == sample)
                    items.push_back({control_json(control), place_of(control.origin)});
            lines.push_back({json_text(sample) + ": " + block(items, 2, "[]")});
        }
        return lines;
    }

    std::string control_json(const Control& control) const {
        Members members;
        members.add("instrument", json_text(control.instrument)).text("material", control.material);
        for (const auto& [id, target] : control.targets)
            members.add(name(id), Members()
                                      .number("target", target.target)
                                      .number("sd", target.sd)
                                      .add("basis", basis_json(target.basis))
                                      .text("source", target.origin.source)
                                      .object());
        return members.object();
    }

    std::vector<Line> traits() const {
        std::vector<Line> lines;
        for (const TraitFormula& trait : rules_.traits) {
            const ConstituentInfo& info = rules_.constituents[trait.id];
            lines.push_back({fmt::format("\"{}\": {}", trait.name,
                                         Members()
                                             .text("formula", trait.formula)
                                             .add("unit", json_text(trait.unit))
                                             .text("title", info.title)
                                             .number("decimals", info.decimals)
                                             .text("source", trait.origin.source)
                                             .object()),
                             place_of(trait.origin)});
        }
        return lines;
    }

    void checks() {
        std::vector<Line> lines;
        for (const OwnCheck& check : rules_.checks)
            lines.push_back({Members()
                                 .text("name", check.name)
                                 .text("when", check.when)
                                 .text("severity", check.severity ? to_text(*check.severity) : "")
                                 .text("message", check.message)
                                 .text("source", check.origin.source)
                                 .object(),
                             place_of(check.origin)});
        if (!lines.empty())
            add("checks", block(lines, 1, "[]"));
    }

    void severity() {
        std::map<std::string, Severity> all = rules_.severity_option;
        all.insert(rules_.severity.begin(), rules_.severity.end()); // the option's come first and stay
        std::vector<Line> lines;
        for (const auto& [code, severity] : all)
            lines.push_back(
                {fmt::format("\"{}\": \"{}\"", code, to_text(severity)),
                 rules_.severity_option.contains(code) ? "--severity" : origin("severity." + code)});
        section("severity", lines);
    }

    void options() {
        const ChartOptions& charts = rules_.charts;
        add("charts",
            Members()
                .number("warning", charts.warning)
                .number("action", charts.action)
                .add("western_electric", charts.western_electric ? "true" : "false")
                .add("cusum", charts.cusum ? "true" : "false")
                .number("cusum_k", charts.cusum_k)
                .number("cusum_h", charts.cusum_h)
                .add("ewma", charts.ewma ? "true" : "false")
                .number("ewma_lambda", charts.ewma_lambda)
                .number("ewma_limit", charts.ewma_limit)
                .number("estimate_from", charts.estimate_from)
                .object(),
            origin("charts"));
        const TestOptions& tests = rules_.tests;
        add("tests",
            Members()
                .number("repeats_percent", tests.repeats_percent)
                .number("repeats_own_sd", tests.repeats_own_sd)
                .number("outlier_percent", tests.outlier_percent)
                .number("outlier_samples", tests.outlier_samples)
                .number("stuck_constituents", tests.stuck_constituents)
                .number("drift_percent", tests.drift_percent)
                .number("id_reuse_days", tests.id_reuse_days)
                .number("flood_percent", tests.flood_percent)
                .object(),
            origin("tests"));
        const TrialOptions& trials = rules_.trials;
        add("trials",
            Members()
                .text("environment", trials.environment)
                .text("replicate", trials.replicate)
                .text("line_by_environment", trials.line_by_environment)
                .number("level_percent", trials.level_percent)
                .object(),
            origin("trials"));
    }

    const Ruleset& rules_;
    const Origins origins_ = rules_.origins();
    std::vector<Line> lines_;
};

} // namespace

std::string show_rules(const Ruleset& rules) {
    return Shower(rules).text();
}

} // namespace thresh::rules

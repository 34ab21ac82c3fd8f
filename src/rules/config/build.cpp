// Reads the rules in force out of the overlaid tree, section by section. Everything here is about meaning:
// spelling and types have been settled by the check.
#include "rules/config/build.hpp"

#include "rules/config/check.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <functional>
#include <memory>
#include <thresh/batch/list_reader.hpp>
#include <thresh/batch/materials.hpp>
#include <thresh/core/nearest.hpp>
#include <utility>

namespace thresh::rules {

namespace {

using Kind = Node::Kind;

const std::vector<std::string> kPlaceholders = {"trial", "line",     "environment", "year",
                                                "rep",   "block",    "plot",        "sample",
                                                "check", "material", "location",    "generation"};

Result<void> check_sample_id(const Node& pattern) {
    const std::string_view text = pattern.text;
    std::vector<std::string> seen;
    const char* kHelp = "write placeholders in braces with something between them: {trial}-{line}-{rep}";
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '}')
            return fail_at(pattern, "`sample_id` closes a brace that is not open", kHelp);
        if (text[at] != '{') {
            ++at;
            continue;
        }
        const std::size_t close = text.find_first_of("{}", at + 1);
        if (close == std::string_view::npos || text[close] == '{')
            return fail_at(pattern, "`sample_id` opens a brace that is not closed", kHelp);
        const std::string name(text.substr(at + 1, close - at - 1));
        if (std::find(kPlaceholders.begin(), kPlaceholders.end(), name) == kPlaceholders.end())
            return fail_at(pattern, fmt::format("unknown placeholder `{}` in `sample_id`", name),
                           nearest_hint(name, kPlaceholders, "placeholders"));
        if (std::find(seen.begin(), seen.end(), name) != seen.end())
            return fail_at(pattern, fmt::format("placeholder `{}` stands twice in `sample_id`", name), kHelp);
        seen.push_back(name);
        at = close + 1;
        if (at < text.size() && text[at] == '{')
            return fail_at(pattern, "two placeholders of `sample_id` touch", kHelp);
    }
    if (std::find(seen.begin(), seen.end(), "line") == seen.end())
        return fail_at(pattern, "`sample_id` does not say where the line stands", kHelp);
    return {};
}

// A formula's mistake is told at its place within the text of `node`.
Result<Formula> compile_at(const Node& node, const Ruleset& rules, Formula::Traits traits) {
    auto formula = Formula::compile(node.text, rules.constituents, traits);
    if (!formula) {
        const Place place{node.place.line, node.place.column + formula.error().column}; // after the quote
        return fail_at(node, place, formula.error().message, formula.error().help);
    }
    return formula;
}

Result<void> build_traits(const Node& traits, Ruleset& rules) {
    for (const Member& entry : traits.members) {
        const Node* formula = entry.value.find("formula");
        if (!formula || formula->text.empty())
            return fail_at(entry.value, entry.place, fmt::format("trait `{}` has no formula", entry.name),
                           "add \"formula\": such as \"oil * 0.95\"");
        ConstituentInfo info{entry.name, entry.name, "%", PartOf::none, Group::trait, 2, {}};
        int decimals = 2;
        read(entry.value, "title", info.title);
        read(entry.value, "unit", info.unit);
        read(entry.value, "decimals", decimals);
        info.decimals = static_cast<std::uint8_t>(decimals);
        TraitFormula trait;
        trait.name = entry.name;
        trait.formula = formula->text;
        trait.unit = info.unit;
        trait.origin = origin_of(entry.value);
        auto compiled = compile_at(*formula, rules, Formula::Traits::refused);
        if (!compiled)
            return tl::unexpected(compiled.error());
        trait.compiled = std::move(*compiled);
        trait.id = rules.constituents.add_trait(std::move(info));
        rules.traits.push_back(std::move(trait));
    }
    return {};
}

bool is_list_column(const std::string& name) {
    const auto& names = batch::list_column_names();
    return std::find(names.begin(), names.end(), name) != names.end();
}

Result<void> build_columns(const Node& columns, Ruleset& rules) {
    read(columns, "ignore", rules.ignored_headings);
    for (const Member& entry : columns.members) {
        if (entry.name == "ignore")
            continue;
        ColumnRule rule;
        for (std::size_t i = 0; i < kTextFields; ++i)
            if (entry.name == field_info(static_cast<TextField>(i)).name)
                rule.field = static_cast<TextField>(i);
        rule.time = entry.name == "time";
        read(entry.value, "headings", rule.headings);
        if (is_list_column(entry.name)) {
            rules.list_headings[entry.name] = rule.headings;
            if (!rule.field && !rule.time) // stands in lists only
                continue;
        }
        if (!rule.field && !rule.time) {
            const auto id = constituent_named(columns, entry.place, entry.name, rules.constituents);
            if (!id)
                return tl::unexpected<Error>(id.error());
            rule.constituent = *id;
        }
        if (const Node* part = entry.value.find("part_of"))
            rule.part_of = part_of_word(part->text);
        if (const Node* basis = entry.value.find("basis"))
            rule.basis = parse_basis(basis->text).value_or(Basis{});
        if (const Node* unit = entry.value.find("unit"))
            rule.unit = unit->text;
        rules.columns.push_back(std::move(rule));
    }
    return {};
}

Result<void> build_standard(const Node& node, Ruleset& rules) {
    Standard& standard = rules.standard;
    if (const Node* when = node.find("when"))
        rules.batch.standard = read_when(*when);
    if (const Node* column = node.find("column")) {
        const auto ids = constituents_in(*column, rules.constituents);
        if (!ids)
            return tl::unexpected<Error>(ids.error());
        if (ids->size() != 1)
            return fail_at(*column, "the standard has more or less than one column", "name one constituent");
        standard.column = ids->front();
    }
    read(node, "target", standard.target);
    read(node, "review", standard.review);
    read(node, "exclude", standard.exclude);
    read(node, "unit", standard.unit);
    read(node, "required", standard.required);
    standard.origin = origin_of(node);
    return in_order(node, "review", "exclude");
}

Result<void> build_control(const std::string& sample, const Node& node, Ruleset& rules) {
    Control control;
    control.sample = sample;
    control.origin = origin_of(node);
    read(node, "instrument", control.instrument);
    if (const Node* material = node.find("material")) {
        const auto known =
            batch::material_spelled(rules.batch, material->text); // materials were built before
        if (!known)
            return fail_at(*material, fmt::format("unknown material `{}`", material->text),
                           nearest_hint(material->text, rules.batch.material_names, "known materials"));
        control.material = *known;
    }
    for (const Member& entry : node.members) {
        if (entry.name == "instrument" || entry.name == "material")
            continue;
        const auto id = constituent_named(node, entry.place, entry.name, rules.constituents);
        if (!id)
            return tl::unexpected<Error>(id.error());
        if (!entry.value.find("target"))
            return fail_at(entry.value, fmt::format("control `{}` has no target for {}", sample, entry.name),
                           "add \"target\", or take the constituent out: its centre is then estimated");
        ControlTarget target;
        read(entry.value, "target", target.target);
        read(entry.value, "sd", target.sd);
        read(entry.value, "basis", target.basis);
        target.origin = origin_of(entry.value);
        control.targets[*id] = std::move(target);
    }
    rules.controls.push_back(std::move(control));
    return {};
}

Result<void> build_controls(const Node& controls, Ruleset& rules) {
    for (const Member& entry : controls.members) {
        rules.batch.controls.push_back(entry.name);
        const std::vector<Node> one = {entry.value};
        for (const Node& node : entry.value.is(Kind::list) ? entry.value.items : one)
            if (Result<void> built = build_control(entry.name, node, rules); !built)
                return built;
    }
    return {};
}

Result<void> build_checks(const Node& checks, Ruleset& rules) {
    for (const Node& node : checks.items) {
        OwnCheck check;
        read(node, "name", check.name);
        read(node, "when", check.when);
        read(node, "message", check.message);
        read(node, "severity", check.severity);
        check.origin = origin_of(node);
        if (check.name.empty() || check.when.empty())
            return fail_at(node, "a check needs a name and a condition",
                           "add \"name\" and \"when\", such as \"oleic + linoleic < 60\"");
        auto condition = compile_at(*node.find("when"), rules, Formula::Traits::allowed);
        if (!condition)
            return tl::unexpected(condition.error());
        check.condition = std::move(*condition);
        rules.checks.push_back(std::move(check));
    }
    return {};
}

Result<void> build_charts(const Node& node, Ruleset& rules) {
    ChartOptions& charts = rules.charts;
    read(node, "warning", charts.warning);
    read(node, "action", charts.action);
    read(node, "western_electric", charts.western_electric);
    read(node, "cusum", charts.cusum);
    read(node, "cusum_k", charts.cusum_k);
    read(node, "cusum_h", charts.cusum_h);
    read(node, "ewma", charts.ewma);
    read(node, "ewma_lambda", charts.ewma_lambda);
    read(node, "ewma_limit", charts.ewma_limit);
    read(node, "estimate_from", charts.estimate_from);
    return in_order(node, "warning", "action");
}

Result<void> build_tests(const Node& node, Ruleset& rules) {
    TestOptions& tests = rules.tests;
    read(node, "repeats_percent", tests.repeats_percent);
    read(node, "repeats_own_sd", tests.repeats_own_sd);
    read(node, "outlier_percent", tests.outlier_percent);
    read(node, "outlier_samples", tests.outlier_samples);
    read(node, "stuck_constituents", tests.stuck_constituents);
    read(node, "drift_percent", tests.drift_percent);
    read(node, "id_reuse_days", tests.id_reuse_days);
    read(node, "flood_percent", tests.flood_percent);
    return {};
}

Result<void> build_trials(const Node& node, Ruleset& rules) {
    read(node, "environment", rules.trials.environment);
    read(node, "replicate", rules.trials.replicate);
    read(node, "line_by_environment", rules.trials.line_by_environment);
    read(node, "level_percent", rules.trials.level_percent);
    return {};
}

Result<void> build_scalars(const Node& root, Ruleset& rules) {
    read(root, "few_samples", rules.few_samples);
    read(root, "session_gap_hours", rules.batch.session_gap_hours);
    read(root, "nitrogen_factor", rules.nitrogen_factor);
    read(root, "dark_coats", rules.dark_coats);
    read(root, "check_characters", rules.check_characters);
    if (rules.check_characters == "none")
        rules.check_characters.clear();
    std::string below;
    read(root, "below_limit", below);
    rules.below_limit = below == "zero"    ? BelowLimit::zero
                        : below == "half"  ? BelowLimit::half
                        : below == "limit" ? BelowLimit::limit
                                           : BelowLimit::omit;
    if (const Node* ignore = root.find("ignore"))
        rules.batch.ignore = read_when(*ignore);
    if (const Node* severity = root.find("severity"))
        for (const Member& entry : severity->members)
            rules.severity[entry.name] = severity_of(entry.value.text).value_or(Severity::review);
    if (const Node* pattern = root.find("sample_id")) {
        if (Result<void> fits = check_sample_id(*pattern); !fits)
            return fits;
        rules.batch.sample_id = pattern->text;
    }
    return {};
}

} // namespace

Result<Ruleset> build_ruleset(Node tree) {
    Ruleset rules;
    const auto entries = std::make_shared<Entries>();
    entries->root = std::move(tree);
    const Node& root = entries->root;
    rules.origins = [entries] {
        Origins origins;
        note_origins(entries->root, {}, origins);
        for (const auto& [path, node] : entries->materials)
            note_origins(*node, path, origins);
        return origins;
    };
    if (Result<void> fits = dates_in_order(root); !fits)
        return tl::unexpected<Error>(fits.error());
    // Traits first: other sections may name them.
    const auto materials = [&](const Node& node, Ruleset& into) {
        return build_materials(node, into, *entries);
    };
    const std::pair<std::string_view, std::function<Result<void>(const Node&, Ruleset&)>> sections[] = {
        {"traits", build_traits},     {"columns", build_columns},   {"materials", materials},
        {"standard", build_standard}, {"controls", build_controls}, {"checks", build_checks},
        {"charts", build_charts},     {"tests", build_tests},       {"trials", build_trials},
    };
    if (Result<void> built = build_scalars(root, rules); !built)
        return tl::unexpected<Error>(built.error());
    for (const auto& [key, build] : sections) {
        const Node* node = root.find(key);
        if (!node)
            continue;
        if (Result<void> built = build(*node, rules); !built)
            return tl::unexpected<Error>(built.error());
    }
    return rules;
}

} // namespace thresh::rules

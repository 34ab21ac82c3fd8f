// Materials as `rules show` prints them, every limit written out with its source and where it came from.
#include "rules/config/build.hpp"
#include "rules/config/show_entries.hpp"

namespace thresh::rules {

std::string place_of(const Origin& origin) {
    if (origin.line == 0)
        return origin.where;
    return fmt::format("{}:{}:{}", origin.where, origin.line, origin.column);
}

std::string basis_json(Basis basis) {
    const bool number = basis.kind == Basis::Kind::fixed && basis.percent != 0;
    return number ? to_text(basis) : json_text(to_text(basis));
}

std::string when_json(const batch::When& when) {
    return Members()
        .texts("analysis", when.analysis)
        .texts("sample", when.sample)
        .texts("source", when.source)
        .texts("instrument", when.instrument)
        .texts("calibration", when.calibration)
        .texts("material", when.material)
        .time("from", when.from)
        .time("to", when.to)
        .object();
}

std::string origin_text(const Origins& origins, const std::string& path) {
    const auto found = origins.lower_bound(path);
    if (found == origins.end() || !found->first.starts_with(path))
        return "default";
    return place_of(found->second);
}

namespace {

class MaterialShower {
  public:
    MaterialShower(const Ruleset& rules, const Origins& origins) : rules_(rules), origins_(origins) {}

    std::vector<Line> material_lines(const Material& material) const {
        const std::string path = "materials." + material.name + ".";
        std::vector<Line> lines;
        for (const batch::MaterialCase& one : rules_.batch.materials)
            if (one.name == material.name)
                lines.push_back({"\"when\": " + when_json(one.when), origin(path + "when")});
        lines.push_back({"\"basis\": " + basis_json(rules_.basis.value_or(material.basis)),
                         rules_.basis ? "--basis" : origin(path + "basis")});
        const MoistureWindow& window = material.window;
        if (window.low || window.high)
            lines.push_back({"\"moisture_window\": " + Members()
                                                           .number("low", window.low)
                                                           .number("high", window.high)
                                                           .number("margin", window.margin)
                                                           .text("source", window.origin.source)
                                                           .object(),
                             place_of(window.origin)});
        ranges("expected", material.expected, lines);
        ranges("possible", material.possible, lines);
        ranges("calibrated", material.calibrated, lines, material.calibrated_distance);
        percents("repeatability_sd", material.repeatability_sd, path, lines);
        percents("sep", material.sep, path, lines);
        percents("plot_sd", material.plot_sd, path, lines);
        std::vector<std::string> key;
        for (const ConstituentId id : material.key)
            key.push_back(name(id));
        if (!key.empty())
            lines.push_back({"\"key\": " + json_texts(key), origin(path + "key")});
        sums(material.sums, lines);
        adjustments(material, lines);
        if (material.prefer)
            lines.push_back({"\"prefer\": " + json_text(*material.prefer), origin(path + "prefer")});
        return lines;
    }

    std::string range_json(ConstituentId id, const Range& range) const {
        Members members;
        members.number("low", range.low).number("high", range.high);
        if (range.part_of == PartOf::sample)
            members.add("basis", basis_json(range.basis));
        if (range.part_of != rules_.constituents[id].part_of)
            members.text("part_of", to_text(range.part_of));
        members.text("oil_type", range.oil_type);
        if (range.severity)
            members.text("severity", to_text(*range.severity));
        return members.text("source", range.origin.source).object();
    }

    void ranges(std::string_view key, const Ranges& all, std::vector<Line>& into,
                const std::optional<double>& distance = {}) const {
        std::vector<Line> lines;
        if (distance)
            lines.push_back({fmt::format("\"distance\": {}", *distance)});
        for (const auto& [id, list] : all) {
            if (list.size() == 1) {
                lines.push_back(
                    {fmt::format("\"{}\": {}", name(id), range_json(id, list[0])), place_of(list[0].origin)});
                continue;
            }
            std::vector<Line> items;
            for (const Range& range : list)
                items.push_back({range_json(id, range), place_of(range.origin)});
            lines.push_back({fmt::format("\"{}\": {}", name(id), block(items, 4, "[]"))});
        }
        if (!lines.empty())
            into.push_back({fmt::format("\"{}\": {}", key, block(lines, 3))});
    }

    void percents(const std::string& key, const std::map<ConstituentId, double>& all, const std::string& path,
                  std::vector<Line>& into) const {
        std::vector<Line> lines;
        for (const auto& [id, value] : all) {
            const auto found = origins_.find(path + key + "." + name(id));
            std::string comment = found == origins_.end() ? "default" : place_of(found->second);
            if (found != origins_.end() && !found->second.source.empty())
                comment += ": " + found->second.source;
            lines.push_back({fmt::format("\"{}\": {}", name(id), value), std::move(comment)});
        }
        if (!lines.empty())
            into.push_back({fmt::format("\"{}\": {}", key, block(lines, 3))});
    }

    static void sums(const Sums& all, std::vector<Line>& into) {
        std::vector<Line> lines;
        for (const auto& [key, limit] : {std::pair{"fatty_acids", &all.fatty_acids},
                                         {"main_fatty_acids", &all.main_fatty_acids},
                                         {"proximates", &all.proximates},
                                         {"closure", &all.closure},
                                         {"sugars", &all.sugars},
                                         {"amino_acids", &all.amino_acids}}) {
            Members members;
            members.number("low", limit->low).number("high", limit->high);
            members.number("note_low", limit->note_low).number("note_high", limit->note_high);
            if (!members.members.empty())
                lines.push_back(
                    {fmt::format("\"{}\": {}", key, members.text("source", limit->origin.source).object()),
                     place_of(limit->origin)});
        }
        if (!lines.empty())
            into.push_back({"\"sums\": " + block(lines, 3)});
    }

    void adjustments(const Material& material, std::vector<Line>& into) const {
        std::vector<Line> lines;
        for (const auto& [id, list] : material.adjust) {
            std::vector<Line> items;
            for (const Adjustment& one : list)
                items.push_back({Members()
                                     .text("instrument", one.instrument)
                                     .text("oil_type", one.oil_type)
                                     .number("intercept", one.intercept)
                                     .number("slope", one.slope)
                                     .add("basis", basis_json(one.basis))
                                     .time("from", one.from)
                                     .time("to", one.to)
                                     .text("source", one.origin.source)
                                     .object(),
                                 place_of(one.origin)});
            lines.push_back({fmt::format("\"{}\": {}", name(id), block(items, 4, "[]"))});
        }
        if (!lines.empty())
            into.push_back({"\"adjust\": " + block(lines, 3)});
    }

  private:
    std::string origin(const std::string& path) const { return origin_text(origins_, path); }
    const std::string& name(ConstituentId id) const { return rules_.constituents[id].name; }

    const Ruleset& rules_;
    const Origins& origins_;
};

} // namespace

std::vector<Line> material_lines(const Material& material, const Ruleset& rules, const Origins& origins) {
    return MaterialShower(rules, origins).material_lines(material);
}

} // namespace thresh::rules

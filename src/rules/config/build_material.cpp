// Materials. `like` is resolved after all files have been overlaid, so that a file's change to one material
// reaches those that are like it. Materials are tried in the order in which their `when` was written, a
// file's before the built-in ones: a file that changes only a limit of the plain material does not put its
// wide pattern before the narrow ones.
#include "rules/config/build.hpp"
#include "rules/config/layers.hpp"

#include <thresh/batch/batch.hpp>
#include <thresh/core/nearest.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <span>
#include <tuple>

namespace thresh::rules {

namespace {

using Kind = Node::Kind;

// The entries of a list; what is not a list is the same as a list of it alone.
std::span<const Node> items_of(const Node& value) {
    return value.is(Kind::list) ? std::span(value.items) : std::span(&value, 1);
}

class MaterialBuilder {
  public:
    MaterialBuilder(const Node& materials, Ruleset& rules, Entries& entries)
        : materials_(materials), rules_(rules), entries_(entries) {}

    Result<void> all() {
        if (materials_.members.size() >= batch::kNoMaterial)
            return fail_at(materials_, fmt::format("{} materials", materials_.members.size()),
                           "at most 254 materials can be told apart");
        for (const Member& entry : materials_.members) {
            std::vector<std::string> open;
            const Result<const Node*> node = resolved(entry, open);
            if (!node)
                return tl::unexpected<Error>(node.error());
            entries_.materials.emplace_back("materials." + entry.name, *node);
            built_.emplace_back();
            built_.back().material.name = entry.name;
            if (const Node* like = entry.value.find("like"))
                built_.back().material.like = like->text;
            if (Result<void> built = one(**node, built_.back().material); !built)
                return built;
            place(**node, built_.back());
        }
        deliver();
        return {};
    }

  private:
    // The entry with what `like` lends it. `open`: names being resolved.
    Result<const Node*> resolved(const Member& entry, std::vector<std::string>& open) {
        const Node* like = entry.value.find("like");
        if (!like)
            return &entry.value;
        open.push_back(entry.name);
        if (std::find(open.begin(), open.end(), like->text) != open.end())
            return fail_at(*like,
                           fmt::format("materials are like each other in a circle: {} -> {}",
                                       fmt::join(open, " -> "), like->text),
                           "take one of these `like` entries out");
        const auto model = std::find_if(materials_.members.begin(), materials_.members.end(),
                                        [&](const Member& other) { return other.name == like->text; });
        if (model == materials_.members.end()) {
            std::vector<std::string> names;
            for (const Member& other : materials_.members)
                names.push_back(other.name);
            return fail_at(*like, fmt::format("unknown material `{}`", like->text),
                           nearest_hint(like->text, names, "known materials"));
        }
        const Result<const Node*> base = resolved(*model, open);
        if (!base)
            return base;
        Node& joined = entries_.joined.emplace_back(**base);
        std::erase_if(joined.members, [](const Member& member) { return member.name == "when"; });
        overlay(joined, entry.value, Section::material);
        std::erase_if(joined.members, [](const Member& member) { return member.name == "like"; });
        return &joined;
    }

    Result<void> one(const Node& node, Material& material) {
        material.origin = origin_of(node);
        read(node, "basis", material.basis);
        if (const Node* prefer = node.find("prefer"))
            material.prefer = prefer->text;
        if (const Node* window = node.find("moisture_window")) {
            read(*window, "low", material.window.low);
            read(*window, "high", material.window.high);
            read(*window, "margin", material.window.margin);
            material.window.origin = origin_of(*window);
            if (Result<void> fits = in_order(*window, "low", "high"); !fits)
                return fits;
        }
        if (const Node* key = node.find("key")) {
            const auto ids = constituents_in(*key, rules_.constituents);
            if (!ids)
                return tl::unexpected<Error>(ids.error());
            material.key = *ids;
        }
        for (const auto& [name, into] : {std::pair{"expected", &material.expected},
                                         {"possible", &material.possible},
                                         {"calibrated", &material.calibrated}})
            if (const Node* part = node.find(name))
                if (Result<void> built = ranges(name, *part, *into); !built)
                    return built;
        if (const Node* calibrated = node.find("calibrated"))
            read(*calibrated, "distance", material.calibrated_distance);
        for (const auto& [name, into] : {std::pair{"repeatability_sd", &material.repeatability_sd},
                                         {"sep", &material.sep},
                                         {"plot_sd", &material.plot_sd}})
            if (const Node* part = node.find(name))
                if (Result<void> built = percents(name, *part, *into); !built)
                    return built;
        if (const Node* part = node.find("repeatability_sd"))
            for (const Member& entry : part->members)
                if (origin_of(entry.value).where != "built-in")
                    material.repeatability_sd_given.insert(*rules_.constituents.find(entry.name));
        if (const Node* part = node.find("adjust"))
            if (Result<void> built = adjustments(*part, material); !built)
                return built;
        const Node* part = node.find("sums");
        return part ? sums(*part, material.sums) : Result<void>();
    }

    // Whether an entry has nothing to work on: values that are computed, and in no export, are judged by
    // checks. Error: a rules file has it.
    Result<bool> idle(std::string_view key, const Member& entry, ConstituentId id) const {
        const Group group = rules_.constituents[id].group;
        const bool computed = group == Group::derived || group == Group::ratio || group == Group::trait;
        if (!computed || std::ranges::any_of(rules_.columns, [&](const ColumnRule& column) {
                return column.constituent == id && !column.headings.empty();
            }))
            return false;
        if (origin_of(entry.value).where == "built-in")
            return true;
        return fail_at(
            newest(entry.value), // the entry itself may be the built-in one, overlaid
            fmt::format("`{}` does nothing for `{}`, which is computed from other values", key, entry.name),
            fmt::format("judge it by a check of your own, such as \"checks\": [{{ \"name\": \"high\", "
                        "\"when\": \"{} > 60\" }}], or name its heading in `columns` where exports "
                        "hold it",
                        entry.name));
    }

    Result<void> ranges(std::string_view key, const Node& node, Ranges& into) {
        for (const Member& entry : node.members) {
            if (entry.name == "distance" && entry.value.is(Kind::number))
                continue;
            const auto id = constituent_named(node, entry.place, entry.name, rules_.constituents);
            if (!id)
                return tl::unexpected<Error>(id.error());
            const auto nothing = idle(key, entry, *id);
            if (!nothing)
                return tl::unexpected<Error>(nothing.error());
            if (*nothing)
                continue;
            for (const Node& item : items_of(entry.value)) {
                if (Result<void> fits = in_order(item, "low", "high"); !fits)
                    return fits;
                if (*id == constituent::moisture && (key != "possible" || item.find("oil_type")))
                    return fail_at(newest(item),
                                   fmt::format("`{}` does nothing for moisture{}", key,
                                               key == "possible" ? " by oil type" : ""),
                                   "set the `moisture_window` of the material instead");
                Range range;
                range.part_of = rules_.constituents[*id].part_of;
                read(item, "low", range.low);
                read(item, "high", range.high);
                read(item, "basis", range.basis);
                read(item, "oil_type", range.oil_type);
                read(item, "severity", range.severity);
                if (const Node* part = item.find("part_of"))
                    range.part_of = part_of_word(part->text).value_or(range.part_of);
                range.origin = origin_of(item);
                if (!range.low && !range.high)
                    return fail_at(item, fmt::format("the range of {} has no bound", entry.name),
                                   "add \"low\" or \"high\"");
                into[*id].push_back(std::move(range));
            }
        }
        return {};
    }

    Result<void> percents(std::string_view key, const Node& node, std::map<ConstituentId, double>& into) {
        for (const Member& entry : node.members) {
            const auto id = constituent_named(node, entry.place, entry.name, rules_.constituents);
            if (!id)
                return tl::unexpected<Error>(id.error());
            // The others serve means and trials, which computed values have too.
            if (key == "sep")
                if (const auto nothing = idle(key, entry, *id); !nothing)
                    return tl::unexpected<Error>(nothing.error());
            into[*id] = entry.value.number;
        }
        return {};
    }

    Result<void> adjustments(const Node& node, Material& material) {
        for (const Member& entry : node.members) {
            const auto id = constituent_named(node, entry.place, entry.name, rules_.constituents);
            if (!id)
                return tl::unexpected<Error>(id.error());
            if (const auto nothing = idle("adjust", entry, *id); !nothing)
                return tl::unexpected<Error>(nothing.error());
            for (const Node& item : items_of(entry.value)) {
                Adjustment adjustment;
                read(item, "instrument", adjustment.instrument);
                read(item, "oil_type", adjustment.oil_type);
                read(item, "intercept", adjustment.intercept);
                read(item, "slope", adjustment.slope);
                read(item, "basis", adjustment.basis);
                read(item, "from", adjustment.from);
                read(item, "to", adjustment.to);
                adjustment.origin = origin_of(item);
                material.adjust[*id].push_back(std::move(adjustment));
            }
        }
        return {};
    }

    static Result<void> sums(const Node& node, Sums& into) {
        for (const auto& [name, limit] : {std::pair{"fatty_acids", &into.fatty_acids},
                                          {"main_fatty_acids", &into.main_fatty_acids},
                                          {"proximates", &into.proximates},
                                          {"closure", &into.closure},
                                          {"sugars", &into.sugars},
                                          {"amino_acids", &into.amino_acids}}) {
            const Node* sum = node.find(name);
            if (!sum)
                continue;
            read(*sum, "low", limit->low);
            read(*sum, "high", limit->high);
            read(*sum, "note_low", limit->note_low);
            read(*sum, "note_high", limit->note_high);
            limit->origin = origin_of(*sum);
            if (Result<void> fits = in_order(*sum, "low", "high"); !fits)
                return fits;
            if (Result<void> fits = in_order(*sum, "note_low", "note_high"); !fits)
                return fits;
        }
        return {};
    }

    struct Built {
        Material material;
        std::optional<batch::When> when;
        std::uint32_t layer = 0; // where `when` was written, or the entry when it has none
        Place place;
    };

    static void place(const Node& node, Built& built) {
        const Node* when = node.find("when");
        if (when && !when->members.empty())
            built.when = read_when(*when);
        const Node& written = newest(when ? *when : node);
        built.layer = written.layer ? written.layer->number : 0;
        built.place = written.place;
    }

    // In the order in which they are tried.
    void deliver() {
        std::stable_sort(built_.begin(), built_.end(), [](const Built& a, const Built& b) {
            return std::tuple(b.layer, a.place.line, a.place.column) <
                   std::tuple(a.layer, b.place.line, b.place.column);
        });
        for (Built& built : built_) {
            rules_.batch.material_names.push_back(built.material.name);
            if (built.when)
                rules_.batch.materials.push_back({built.material.name, std::move(*built.when)});
            rules_.materials.push_back(std::move(built.material));
        }
    }

    const Node& materials_;
    Ruleset& rules_;
    Entries& entries_;
    std::vector<Built> built_;
};

} // namespace

Result<void> build_materials(const Node& materials, Ruleset& rules, Entries& entries) {
    return MaterialBuilder(materials, rules, entries).all();
}

} // namespace thresh::rules

// Reading rules: texts in force, check of each, overlay, build. No exception of the JSON or the file system
// library gets past this folder.
#include <thresh/rules/ruleset.hpp>

#include "rules/config/build.hpp"
#include "rules/config/check.hpp"
#include "rules/config/layers.hpp"
#include "rules/config/load.hpp"

#include <utility>

namespace thresh::rules {

std::optional<double> Ruleset::share_below_limit() const {
    switch (below_limit) {
    case BelowLimit::zero:
        return 0.0;
    case BelowLimit::half:
        return 0.5;
    case BelowLimit::limit:
        return 1.0;
    case BelowLimit::omit:
        break;
    }
    return std::nullopt;
}

const Material* Ruleset::material(std::uint8_t index) const {
    return index < materials.size() ? &materials[index] : nullptr;
}

Basis Ruleset::wanted_basis(std::uint8_t material_index) const {
    if (basis)
        return *basis;
    const Material* found = material(material_index);
    return found ? found->basis : Basis::dry();
}

Result<Ruleset> load_rules(const std::vector<std::string>& files, const ReadFile& read_file,
                           const std::vector<std::string>& codes) {
    Result<std::vector<Node>> layers = read_layers(files, read_file);
    if (!layers)
        return tl::unexpected<Error>(layers.error());
    KnownNames known;
    known.codes = codes;
    for (const Node& layer : *layers)
        if (Result<void> added = add_trait_names(layer, known); !added)
            return tl::unexpected<Error>(added.error());
    Node merged;
    merged.kind = Node::Kind::object;
    std::vector<std::string> names;
    for (Node& layer : *layers) {
        if (Result<void> fits = check_text(layer, known); !fits)
            return tl::unexpected<Error>(fits.error());
        names.push_back(layer.layer->file);
        std::erase_if(layer.members, [](const Member& member) {
            return member.name == "extends" || member.name == "$schema";
        });
        spread_sources(layer);
        overlay(merged, std::move(layer), Section::root);
    }
    Result<Ruleset> rules = build_ruleset(std::move(merged));
    if (rules)
        rules->files = std::move(names);
    return rules;
}

} // namespace thresh::rules

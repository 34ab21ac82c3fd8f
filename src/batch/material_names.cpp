// Materials are few, so they are gone through one by one.
#include "batch/material_names.hpp"

#include "batch/words.hpp"

#include <thresh/batch/materials.hpp>
#include <thresh/batch/settings.hpp>

#include <algorithm>

namespace thresh::batch {

std::uint8_t material_named(const std::vector<std::string>& names, std::string_view name) {
    for (std::size_t i = 0; i < names.size(); ++i)
        if (same_word(names[i], name))
            return static_cast<std::uint8_t>(i);
    return kNoMaterial;
}

std::uint8_t material_listed(const Settings& settings, std::string_view text) {
    if (text.empty())
        return kNoMaterial;
    if (const auto named = material_named(settings.material_names, text); named != kNoMaterial)
        return named;
    for (const MaterialCase& material : settings.materials) {
        When others = material.when;
        others.material.clear();
        if (!others.empty())
            continue;
        for (const std::string& pattern : material.when.material)
            if (matches(pattern, text))
                return material_named(settings.material_names, material.name);
    }
    return kNoMaterial;
}

bool presents(std::string_view material, std::string_view crop) {
    return !crop.empty() && material.size() > crop.size() && material.starts_with(crop) &&
           material[crop.size()] == '-';
}

std::optional<std::string_view> material_spelled(const Settings& settings, std::string_view text) {
    if (const auto material = material_listed(settings, text); material != kNoMaterial)
        return settings.material_names[material];
    for (const std::string_view name : settings.material_names)
        if (const std::string_view crop = name.substr(0, text.size());
            presents(name, crop) && same_word(crop, text))
            return crop;
    return std::nullopt;
}

bool may_be_selected(const Settings& settings, std::string_view listed) {
    if (listed.empty() || !settings.only_material)
        return true;
    const std::string_view spelled = material_spelled(settings, listed).value_or(listed);
    return matches(*settings.only_material, spelled) ||
           std::ranges::any_of(settings.material_names, [&](const std::string& name) {
               return presents(name, spelled) && matches(*settings.only_material, name);
           });
}

} // namespace thresh::batch

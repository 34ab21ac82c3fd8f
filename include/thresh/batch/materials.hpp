// Names of materials that people write, and how they relate: `soybean-whole` is a presentation of `soybean`.
#pragma once

#include <thresh/batch/settings.hpp>

#include <optional>
#include <string_view>

namespace thresh::batch {

// Whether the material is a presentation of the crop. Both as the rules spell them.
bool presents(std::string_view material, std::string_view crop);

// What a list's cell or an entry of the rules calls a material, as the rules spell it, or the crop whose
// presentations have rules (`peanut` of `peanut-whole`); nothing for a material that no rule is about.
std::optional<std::string_view> material_spelled(const Settings& settings, std::string_view text);

// Whether readings of what a list calls `listed` may be among those that `--material` selects: it names a
// selected material, or a crop of which one is a presentation. True where nothing is listed or nothing is
// selected.
bool may_be_selected(const Settings& settings, std::string_view listed);

} // namespace thresh::batch

// Materials by the names that exports and lists give them.
#pragma once

#include <thresh/batch/batch.hpp>

#include <optional>

namespace thresh::batch {

// Which of `names` it is, ASCII case ignored; kNoMaterial when it is none.
std::uint8_t material_named(const std::vector<std::string>& names, std::string_view name);

// The material that a list's cell names: itself, or through a condition on the material alone.
std::uint8_t material_listed(const Settings& settings, std::string_view text);

// The same as the rules spell it, or the crop whose presentations have rules (`peanut` of `peanut-whole`);
// nothing for a material that no rule is about.
std::optional<std::string_view> material_spelled(const Settings& settings, std::string_view text);

} // namespace thresh::batch

// Materials by the names that exports and lists give them.
#pragma once

#include <thresh/batch/batch.hpp>

namespace thresh::batch {

// Which of `names` it is, ASCII case ignored; kNoMaterial when it is none.
std::uint8_t material_named(const std::vector<std::string>& names, std::string_view name);

// The material that a list's cell names: itself, or through a condition on the material alone.
std::uint8_t material_listed(const Settings& settings, std::string_view text);

} // namespace thresh::batch

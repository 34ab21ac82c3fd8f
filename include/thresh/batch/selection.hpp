// What a selection by material (`--material`) says about a packet that was not read.
#pragma once

#include <thresh/batch/settings.hpp>

#include <string_view>

namespace thresh::batch {

// Whether readings of what a list calls `listed` may be among those selected: it names a selected material,
// or a crop of which one is a presentation. True where nothing is listed or nothing is selected.
bool may_be_selected(const Settings& settings, std::string_view listed);

} // namespace thresh::batch

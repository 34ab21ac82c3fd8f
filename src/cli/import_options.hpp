// What intake has to know of options and rules.
#pragma once

#include "cli/settings.hpp"

#include <thresh/core/result.hpp>
#include <thresh/intake/exports.hpp>
#include <thresh/rules/ruleset.hpp>

namespace thresh::cli {

Result<intake::ExportOptions> import_options(const Settings& settings, const rules::Ruleset& rules,
                                             unsigned threads);

} // namespace thresh::cli

// Telling the tables that this program wrote from exports.
#pragma once

#include <string>
#include <string_view>

namespace thresh::cli {

// The table of this program (csv or tsv) that the file at `path` holds, by its heading; empty when it is none
// or cannot be read.
std::string_view own_table(const std::string& path);

} // namespace thresh::cli

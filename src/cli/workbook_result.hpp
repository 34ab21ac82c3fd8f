// results.xlsx of a run.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/tables.hpp>

#include <optional>
#include <string>

namespace thresh::cli {

// Writes `folder`/results.xlsx and makes sure that it is on the disk. `lines`: the table that lines.csv
// holds; the other tables are made anew. `digits`: stored decimals. Errors name `shown_as`.
Result<void> write_workbook_result(const std::string& folder, const std::string& shown_as,
                                   const summary::Season& season, const summary::SampleMeans& means,
                                   const summary::Table& lines, const std::string& rules,
                                   std::optional<int> digits);

} // namespace thresh::cli

// Whether each decision that names a row means one.
#pragma once

#include <thresh/batch/sample_list.hpp>
#include <thresh/core/readings.hpp>
#include <thresh/core/result.hpp>

#include <string>
#include <vector>

namespace thresh::batch {

// Error (`source`: file of the decisions): a row of a workbook whose sheet is not named, where several sheets
// have a reading in that row that fits.
Result<void> check_places(const std::string& source, const std::vector<Decision>& decisions,
                          const Readings& readings);

} // namespace thresh::batch

// The sample list and the decisions file, from file to batch.
#pragma once

#include "cli/settings.hpp"

#include <map>
#include <string>
#include <thresh/batch/reference.hpp>
#include <thresh/batch/sample_list.hpp>
#include <thresh/core/result.hpp>
#include <thresh/intake/exports.hpp>

namespace thresh::cli {

// An empty list when none was named.
// `own`: headings of the rules file, by column.
Result<batch::SampleList> read_sample_list(const Settings& settings, const intake::ExportOptions& options,
                                           const std::map<std::string, std::vector<std::string>>& own);
Result<std::vector<batch::Decision>> read_decisions(const Settings& settings,
                                                    const intake::ExportOptions& options);
// Reference results of --reference, their codes opened by --key where one is given.
Result<batch::ReferenceResults> read_reference(const Settings& settings, const intake::ExportOptions& options,
                                               const ConstituentTable& constituents);

} // namespace thresh::cli

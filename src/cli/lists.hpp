// The sample list and the decisions file, from file to batch.
#pragma once

#include "cli/settings.hpp"

#include <map>
#include <string>
#include <thresh/batch/reference.hpp>
#include <thresh/batch/sample_list.hpp>
#include <thresh/core/result.hpp>
#include <thresh/intake/exports.hpp>
#include <thresh/rules/ruleset.hpp>

namespace thresh::cli {

// Headings of the rules file, by column of a list.
using OwnHeadings = std::map<std::string, std::vector<std::string>>;

// An empty list when none was named. What had to be assumed or left out is added to `notes`.
Result<batch::SampleList> read_sample_list(const Settings& settings, const intake::ExportOptions& options,
                                           const rules::Ruleset& rules, std::vector<IntakeNote>& notes);
Result<std::vector<batch::Decision>> read_decisions(const Settings& settings,
                                                    const intake::ExportOptions& options,
                                                    const OwnHeadings& own, std::vector<IntakeNote>& notes);
// Reference results of --reference, their codes opened by --key where one is given.
Result<batch::ReferenceResults> read_reference(const Settings& settings, const intake::ExportOptions& options,
                                               const ConstituentTable& constituents, const OwnHeadings& own);

} // namespace thresh::cli

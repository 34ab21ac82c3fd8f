#pragma once

#include <thresh/batch/reference.hpp>
#include <thresh/summary/tables.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

// What the laboratory found for the checks of a shipment, beside the targets of the rules, in words.
void note_laboratory_checks(const Season& season, const batch::ReferenceResults& reference,
                            std::vector<std::string>& notes);

} // namespace thresh::summary

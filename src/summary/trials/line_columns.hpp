// What --trial-model and --cut-off add to the rows of `lines`.
#pragma once

#include <thresh/summary/decisions.hpp>
#include <thresh/summary/table.hpp>
#include <thresh/summary/trials.hpp>

namespace thresh::summary {

// Columns after those of a constituent, in the wide form.
void add_trial_columns(const TrialModels& models, ConstituentId id, const ConstituentInfo& info,
                       std::vector<OutColumn>& into);
void send_trial_cells(const TrialModels& models, std::size_t group, std::size_t slot, RowSink& sink);

// Columns at the end of a row of the long form.
void add_trial_columns_long(const TrialModels& models, std::vector<OutColumn>& into);
void send_trial_cells_long(const TrialModels& models, std::size_t group, std::size_t slot, RowSink& sink);

// The mean without what is under review, and the decision: for both forms.
void send_decision(const Decisions& decisions, std::size_t group, std::size_t slot, RowSink& sink);

} // namespace thresh::summary

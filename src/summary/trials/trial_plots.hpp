// The plots of each trial, as its model takes them: from the rows of `lines`.
#pragma once

#include "summary/line_numbers.hpp"

#include <thresh/summary/trials.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

// One trial in one material: its plots with their place, and a value for each slot.
struct TrialPlots {
    std::string material, trial;
    std::uint8_t material_index = 0;
    std::vector<std::size_t> groups;
    std::vector<std::string> lines; // by code
    std::vector<bool> check;
    std::vector<std::string> unread_checks; // of the trial, in no reading of this material
    std::size_t lines_elsewhere = 0;        // of the trial, read as no known material
    std::vector<int> line;
    std::vector<std::string> environment, rep, block;
    std::vector<double> values; // plots x slots
    std::vector<double> shares; // the same: of a reading's variance that stays in the plot's mean
    std::vector<bool> read;     // by slot: some plot has a value, used or not
    std::size_t single_plants = 0, remnants = 0;
};

// Which slots have a value in one more line, also in what is no plot of the trial.
void add_read(const LineNumbers& numbers, TrialPlots& into);

// The line without its single plants and remnants, which are counted: they are no plots of a trial, nor
// packets of the plot with whose number they are listed. Moves them behind the other members.
LineGroup leave_out_plants(const batch::Batch& batch, LineGroups& groups, LineGroup group, TrialPlots& into);

// The plots of one more line, with its means and shares (LineArithmetic's).
void add_group(const batch::Batch& batch, const LineGroups& groups, const LineGroup& group,
               const LineNumbers& numbers, TrialPlots& into);

// Checks that the list gives to a trial, but that have no row in one of its materials.
void name_unread_checks(std::vector<TrialPlots>& trials, const TrialModelOptions& options);

// Readings of no known material, in a trial that was read as a material as well, are no trial of their own.
void leave_out_unknown_material(std::vector<TrialPlots>& trials);

} // namespace thresh::summary

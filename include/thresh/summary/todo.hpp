// What the laboratory must do next, as items: the table `todo`, the summary and the report are made from
// them.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

struct TodoItem {
    rules::Action action = rules::Action::nothing;
    std::string due, location, material, trial, line;
    std::uint32_t sample = kNone;        // kNone: about a file, session, line or run of readings
    std::vector<std::uint32_t> packets;  // samples of a run of readings, in its order; else empty
    std::string place;                   // of the first finding, for items without a sample: `week32.csv:1:4`
    std::size_t places = 0;              // of a heading to settle: how many tables hold it; else 0
    std::vector<std::uint32_t> findings; // into Judgement::findings
    std::string reason;                  // codes, sorted, joined by ;
    std::string detail;                  // what was found and what exactly to do
    std::string decides;                 // decisions about the line that hang on it; empty: none
};

// Open findings only: settled ones, those of superseded readings, and notes that merely ask to look again are
// left out. A packet that must be conditioned or ground anyway has one item, not a second one to read it
// again. Order: as the table.
// `words`: with reason and detail, which are made from every finding.
// `decisions`: fills in `decides`, and puts items that decide something first within their action.
std::vector<TodoItem> todo_items(const Season& season, bool words = true,
                                 const Decisions* decisions = nullptr);

} // namespace thresh::summary

// How everything was computed, in words with sources: what the workbook's last sheet (and any page that wants
// to say so) is made of. Only what applies to this season.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <vector>

namespace thresh::summary {

struct HowEntry {
    std::string what;   // `Moisture basis`, `iodine_value`, `moisture-high`
    std::string how;    // a sentence or a formula
    std::string source; // literature, `common practice`, or place in a rules file; empty where none is needed
};
struct HowSection {
    std::string title;
    std::vector<HowEntry> entries;
};

// In this order: cautions; what became of the rows; numbers; derived constituents; materials and their
// windows; findings of this season, each with where its limit comes from; assumptions.
std::vector<HowSection> how_computed(const Season& season, const SampleMeans& means);

// What results must not be used for, and what handling seed asks for.
HowSection cautions();

} // namespace thresh::summary

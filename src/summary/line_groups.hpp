// The rows of `lines`: which samples, plot by plot, belong to which row.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

struct LineGroup {
    std::string material;         // name; empty when unknown
    std::uint8_t material_index;  // kNoMaterial: none, or one without rules
    std::vector<std::string> key; // values of the key columns, material left out
    bool check = false;
    std::uint32_t first = 0, last = 0; // members
    std::uint32_t expected_plots = 0;  // that the list promises to this row, or that were read
};

struct LineMember {
    std::uint32_t plot = kNone, sample = kNone;
};

struct LineGroups {
    std::vector<std::string> key_columns; // after `material`
    std::vector<LineGroup> groups;        // order: material, then key, bytewise
    std::vector<LineMember> members;      // group by group, a plot's samples together
};

// `by` empty: trial and line. A sample is a member of the rows of the materials that it was read as and of
// the one it is listed as. Unlisted samples (although a list was given) are members of none.
LineGroups group_lines(const Season& season, const std::vector<std::string>& by);

// What a sample says in a key column such as `environment`; empty when nothing does.
std::string_view sample_attribute(const batch::Batch& batch, std::uint32_t sample, std::string_view column);
const std::vector<std::string>& sample_attributes(); // the names it knows

// The same for where a sample stands in its trial, all at once: for tables with a row a reading.
struct SampleDesign {
    std::string_view line, trial, environment, rep, block, plot;
};
SampleDesign sample_design(const batch::Batch& batch, std::uint32_t sample);

} // namespace thresh::summary

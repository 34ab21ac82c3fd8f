// Two rows of a heading made one.
#pragma once

#include "intake/heading.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace thresh::intake {

// A moisture column under a group heading that states a basis, which it was not given.
struct SparedMoisture {
    std::size_t position = 0; // from 0
    std::string group;        // the group's heading
};

// A column that took its basis or part of from the last group heading further left, over blanks: nobody says
// how far that one reaches. One that another follows is taken to reach up to it.
struct SpreadGroup {
    std::size_t position = 0; // from 0
    std::string group;        // the group's heading
};

struct JoinedHeadings {
    std::vector<std::string> headings;
    std::vector<SpreadGroup> spread;
    std::vector<SparedMoisture> spared;
};

// Column by column, what the upper and the lower row say together: "Protein" over "(% DM)", "Sample" over
// "ID". Where the upper cell is a group such as "Composition (% DM)", its unit, part of and basis are handed
// to the constituent below as far as that states none of its own. A blank of the upper row stands under the
// filled cell to its left when `spread`.
JoinedHeadings join_headings(const std::vector<std::string>& upper, const std::vector<std::string>& lower,
                             bool spread, const HeadingDictionary& dictionary);

} // namespace thresh::intake

// report.html: the season as one page for people. It works offline and without JavaScript; its content
// security policy lets nothing in but its own style and script.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/season_page.hpp>

#include <string>
#include <vector>

namespace thresh::report {

// What the page tells about the run beside the season itself.
struct PageFacts {
    std::string version;            // of thresh
    std::string rules;              // the rules in force, as text
    std::vector<std::string> files; // names of the other results in the folder: "lines.csv"
};

// No page is larger; what there is no room for is counted, with where it stands.
inline constexpr std::size_t kMostPageBytes = 2'000'000;

// The page in UTF-8, also well-formed XML. Text of the season can neither run nor change the page. The same
// season gives the same bytes.
std::string page_html(const summary::SeasonPage& season, const PageFacts& facts);

} // namespace thresh::report

// Which columns of a table a terminal shows, and how wide.
#pragma once

#include <thresh/summary/table.hpp>

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace thresh::report {

// One cell as people see it.
struct ShownCell {
    std::string text;
    unsigned width = 0;
    summary::Shown shown = summary::Shown::plain;
};

// Cells of consecutive rows, row by row.
struct Page {
    std::vector<ShownCell> cells;
    std::size_t rows = 0;
};

struct LayoutColumn {
    std::size_t index = 0; // in the table
    unsigned width = 0;    // without the place for marks
    unsigned natural = 1;  // width at which nothing would be cut or broken
    bool right = false;    // numbers stand right
    bool marks = false;    // one more place, for a mark
    bool sentence = false; // text that does not fit goes on in the next line; other text is cut
    bool path = false;     // cut at its beginning
    std::vector<std::string> heading;
};

struct Layout {
    std::vector<LayoutColumn> columns;
    std::size_t heading_lines = 1;
    std::vector<std::string> empty;  // columns left out because no row has a value
    std::vector<std::string> narrow; // columns left out for want of width
    // Columns left out because every row holds the same text, which is told once: name and text.
    std::vector<std::pair<std::string, std::string>> same;
};

// `width` of the terminal, 0 = unlimited. `whole`: the page holds all rows, so that empty columns are known.
Layout lay_out(const std::vector<summary::OutColumn>& columns, const Page& page, unsigned width, bool whole);

} // namespace thresh::report

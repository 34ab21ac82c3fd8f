// The rows at the top of a text, for finding its heading among them.
#pragma once

#include "intake/detect_heading.hpp"
#include "intake/record.hpp"

#include <string_view>
#include <vector>

namespace thresh::intake {

// Where rows are taken from: `text` from `offset` on, which is the beginning of line `line`. `whole`: the
// text ends there, so that a row without line end counts.
struct HeadText {
    std::string_view text;
    Dialect dialect;
    bool whole = true;
    std::size_t offset = 0;
    std::uint32_t line = 1;
};

// Whether any cell of a line without quotes is a number, perhaps with a decimal comma where commas do not
// part cells. Looked for from the end, where exports have numbers.
bool has_number(std::string_view line, char delimiter);

// At most kHeadingRows rows that begin in the first kHeadingBytes. `want_numbers` as for HeadRow::of.
std::vector<HeadRow> head_rows(const HeadText& from, bool want_numbers);

} // namespace thresh::intake

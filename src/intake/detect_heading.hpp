// Finding the heading of a table among its first rows.
#pragma once

#include "intake/heading.hpp"
#include "intake/join_headings.hpp"
#include "intake/record.hpp"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace thresh::intake {

// A row near the top, copied out.
struct HeadRow {
    std::vector<std::string> cells;
    std::string raw;
    std::uint32_t line = 0, lines = 1;
    std::size_t begin = 0, end = 0; // offsets in a text; unused for sheets

    bool blank() const;
    static HeadRow of(const Record& record);
};

struct HeadingFound {
    std::size_t first = 0;     // index of the first row of the heading
    std::size_t rows = 1;      // how many rows the heading takes
    std::size_t unit_rows = 0; // rows of units below it, their words already in `headings`
    std::vector<std::string> headings;
    std::vector<SparedMoisture> spared;             // moisture columns that a group's basis was not handed to
    std::vector<std::vector<std::string>> row_keys; // fold_key of each cell of each of its rows
    std::uint32_t line = 0;                         // physical line of the first heading row
    double known = 0; // how many headings are understood; a stated unit or basis counts a little

    std::size_t data_row() const { return first + rows + unit_rows; }
};

// The heading among `rows`; with `forced_line`, the row on that line whatever it says. Nothing when no row
// names a constituent or a sample beside another known heading.
std::optional<HeadingFound> find_heading(const std::vector<HeadRow>& rows,
                                         const HeadingDictionary& dictionary,
                                         std::optional<std::uint32_t> forced_line);

} // namespace thresh::intake

// Finding the heading of a table among its first rows.
#pragma once

#include "intake/heading.hpp"
#include "intake/join_headings.hpp"
#include "intake/record.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace thresh::intake {

// A row near the top, copied out.
struct HeadRow {
    std::vector<std::string> cells;
    bool numbers = false; // some cell is a number: no heading, unless somebody says so
    bool spans = false;   // a sheet's row whose merged cells say how far each of them reaches
    std::string raw;      // without the line end
    std::uint32_t line = 0, lines = 1;
    std::size_t begin = 0, end = 0; // offsets in a text; unused for sheets

    bool blank() const;
    // `want_numbers`: the texts of rows with numbers are copied too; they are nearly all of the text, and
    // only a forced heading needs them. `commas`: numbers may have decimal commas, because other delimiters
    // part the cells.
    static HeadRow of(const Record& record, bool want_numbers = true, bool commas = false);
};

struct HeadingFound {
    std::size_t first = 0;     // index of the first row of the heading
    std::size_t rows = 1;      // how many rows the heading takes
    std::size_t unit_rows = 0; // rows of units below it, their words already in `headings`
    std::vector<std::string> headings;
    std::vector<std::string> unitless;  // `headings` without the words of the rows of units
    std::vector<std::string> groupless; // and those without the row above that was joined; empty: none was
    std::vector<SparedMoisture> spared; // moisture columns that a group's basis was not handed to
    std::vector<SpreadGroup> spread;    // columns that the last group was taken to reach
    std::vector<std::vector<std::string>> row_keys;  // fold_key of each cell of each of its rows
    std::vector<std::vector<std::string>> unit_keys; // fold_words of each cell of each row of units
    std::uint32_t line = 0;                          // physical line of the first heading row
    double known = 0;        // how many headings are understood; a stated unit or basis counts a little
    std::uint32_t above = 0; // line of a heading further up whose rows may be a table of their own; 0: none

    std::size_t data_row() const { return first + rows + unit_rows; }
};

// Whether a cell is a number with a decimal point or a whole one, with `commas` also one with a decimal
// comma: no heading holds one.
bool is_number(std::string_view cell, bool commas = false);
// Whether a cell has so many delimiters (more than kMostMarks) that it cannot be a heading: it is a row cut
// wrongly.
inline constexpr std::ptrdiff_t kMostMarks = 8;
bool is_row_cut_wrongly(std::string_view cell);

// All filled cells are units or the like.
bool only_units(const HeadRow& row);

// The cells of a row as headings.
std::vector<std::string> heading_texts(const HeadRow& row);

// What two rows say together, when that is worth more than `known`, the worth of the lower one, which it then
// becomes. `spans`: the upper row says itself how far each of its cells reaches.
std::optional<JoinedHeadings> joined_to_more(const std::vector<std::string>& upper,
                                             const std::vector<std::string>& lower, bool spans, double& known,
                                             const HeadingDictionary& dictionary);
// How much of a heading is understood; see HeadingFound::known.
double worth_of(const std::vector<std::string>& headings, const HeadingDictionary& dictionary);

// The heading among `rows`; with `forced_line`, the row on that line whatever it says. Nothing when no row
// names a constituent or a sample beside another known heading. It is that of the first table where a better
// heading further down surely is that of a second one; `above` tells where that is not sure.
std::optional<HeadingFound> find_heading(const std::vector<HeadRow>& rows,
                                         const HeadingDictionary& dictionary,
                                         std::optional<std::uint32_t> forced_line);

} // namespace thresh::intake

// Finding delimiters and line ends in a piece of text, 64 bytes at a time.
#pragma once

#include "intake/record.hpp"

#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

namespace thresh::intake {

// Where the cells of whole rows end. Row r has the cells ends[row_first(r)] .. ends[row_last(r)]; the last of
// them is the row's line feed.
struct Rows {
    std::vector<std::uint32_t> ends;     // offsets of delimiters and line feeds outside quotes
    std::vector<std::uint32_t> row_last; // for each row the index into `ends` of its line feed
    std::vector<std::uint8_t>
        special;          // with quotes only: row holds a doubled quote or a line break in quotes
    std::size_t stop = 0; // with quotes only: the row that starts here must be cut the slow way
    bool stopped = false;

    std::size_t rows() const { return row_last.size(); }
    std::size_t first(std::size_t row) const { return row == 0 ? 0 : row_last[row - 1] + 1; }
    std::size_t cells(std::size_t row) const { return row_last[row] + 1 - first(row); }
    // Offset at which a row starts; `origin` is where the scan started.
    std::size_t begin(std::size_t row, std::size_t origin) const {
        return row == 0 ? origin : std::size_t{ends[row_last[row - 1]]} + 1;
    }
};

// Bytes that decide how a text is cut, wherever they stand in it.
struct Survey {
    bool zero = false, carriage_return = false, quote = false; // quote: where the dialect has one
    bool beyond_ascii = false;
    friend bool operator==(const Survey&, const Survey&) = default;
};

// Rows of `text` from `origin` on as they are when it holds no quote, and what it holds from there on.
// Precondition: text.size() < 2^32. `plain`: without wide instructions, same outcome.
Survey scan_rows(std::string_view text, std::size_t origin, Dialect dialect, bool plain, Rows& rows);

// The rows of text with quotes. Stops before the first row with a quote inside an unquoted cell, text behind
// a closing quote or a quote that is not closed in `text`.
void scan_quoted_rows(std::string_view text, std::size_t origin, Dialect dialect, bool plain, Rows& rows);

} // namespace thresh::intake

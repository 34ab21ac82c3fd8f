// Finding how a text is laid out: delimiter, quote, decimal mark and heading row, jointly.
#pragma once

#include "intake/detect_heading.hpp"
#include "intake/record.hpp"

#include <thresh/core/result.hpp>
#include <thresh/intake/exports.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake {

struct Layout {
    Dialect dialect;
    char mark = '.'; // decimal mark that most numbers fit
    HeadingFound heading;
    std::vector<HeadRow> head; // rows from the top to the first data rows
    bool delimiter_given = false, mark_given = false, heading_given = false;
    bool sep_line = false;           // a `sep=;` line gave the delimiter
    bool trailing_delimiter = false; // most rows end with a delimiter
    bool unclosed = false;           // a quote below the heading never closes
    double score = 0;                // where it was compared with another
    double margin = 1;               // 1 - score of the runner-up / score
    Dialect runner_up;               // meaningful when margin < 1
    std::size_t runner_up_columns = 0;
    std::uint32_t above = 0;     // line of a heading further up, whose rows may be a table of their own
    char above_delimiter = '\0'; // between its cells
    std::size_t row_bytes = 0;   // about how long a row below the heading is

    bool doubtful() const { return margin < 0.2 && !delimiter_given && !sep_line; }
};

// How much of the top of a text is looked at first; every row is held against the outcome later.
inline constexpr std::size_t kHeadBytes = 16 * 1024;
// In this many rows and bytes from the top a heading is looked for when the whole text is given.
inline constexpr std::size_t kHeadingRows = 1000;
inline constexpr std::size_t kHeadingBytes = 1024 * 1024;

// `text`: the top of the file in UTF-8 without byte order mark, or all of it (`whole`). Error when no heading
// is found: it names what was seen.
Result<Layout> detect_layout(std::string_view text, bool whole, const HeadingDictionary& dictionary,
                             const ExportOptions& options);

// ",", ";", "tab", "|" as in tables and messages.
std::string delimiter_name(char delimiter);

} // namespace thresh::intake

// What is done with each cell of a row, once the heading is understood.
#pragma once

#include "intake/detect_heading.hpp"
#include "intake/heading.hpp"
#include "intake/number_cell.hpp"
#include "intake/record.hpp"

#include <thresh/core/readings.hpp>

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace thresh::intake {

// Beside Column: what reading a number column needs. Same order as TableColumns::numbers.
struct NumberPlan {
    std::uint32_t position = 0;
    int shift = 0;             // decimals that the unit adds
    bool unit_settled = false; // by the rules file: not questioned
    std::string doubt;         // why the heading leaves the column's values doubtful; empty: it does not
    std::string doubt_help;
};

// Two columns under one meaning.
struct Repeat {
    std::uint32_t position = 0;        // of the later one
    std::optional<std::size_t> number; // index of the number column that it repeats
    std::optional<TextField> field;    // or the text column
};

struct TablePlan {
    std::shared_ptr<const TableColumns> table; // perhaps shared with tables that have the same heading
    std::size_t width = 0;                     // headings
    std::size_t data_width = 0; // cells of most rows: one more than `width` when rows end in a delimiter
    std::vector<NumberPlan> numbers;
    std::vector<std::pair<TextField, std::uint32_t>> texts;
    std::optional<std::uint32_t> time;
    std::optional<std::uint32_t> clock; // a second time column: a clock beside a date, or the reverse
    std::vector<Repeat> repeats;
    std::vector<std::uint32_t> unnamed; // columns without heading: expected to be empty
    std::shared_ptr<const HeadingFound> heading;
    NumberStyle style;

    std::optional<std::uint32_t> text_position(TextField field) const {
        return table->text[static_cast<std::size_t>(field)];
    }
};

// Understands a heading and says what it assumed or could not place in `notes` (file and sheet are left for
// the caller to fill in).
TablePlan plan_table(const HeadingFound& heading, const HeadingDictionary& dictionary,
                     const ExportOptions& options, std::vector<IntakeNote>& notes);

// That the rows below `line` may be a table which is not read, for its heading is not the one on `read_line`.
// `further`: options that it wants besides.
IntakeNote table_above_note(std::uint32_t line, std::uint32_t read_line, const std::string& further = {});

// The way out where a column stands in the way of another, as part of a sentence. A rules file names columns
// by their headings: that leaves out all that have the same.
std::string leave_out(const std::vector<std::string>& headings, std::uint32_t position);

// A cell of a heading as text: line breaks as blanks, blanks trimmed and single.
std::string heading_text(std::string_view cell);

// A cell of text below a heading, in exports and lists alike, so that their IDs match: trimmed and
// without_guard. Inner blanks stay, save where it holds a line break or the like: then it is
// heading_text.
bool has_control_character(std::string_view text);
std::string text_cell(std::string_view cell);

} // namespace thresh::intake

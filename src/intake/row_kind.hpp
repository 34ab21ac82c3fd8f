// Rows below a heading that are no readings.
#pragma once

#include "intake/heading.hpp"
#include "intake/record.hpp"
#include "intake/table_plan.hpp"

#include <string_view>

namespace thresh::intake {

// "Mean", "SD", "Total", ... in the five languages, also with a count or a level behind it: what a
// spreadsheet writes below a table.
bool is_summary_word(std::string_view text);
// The record says the same as a row of the table's heading.
bool repeats_heading(const Record& record, const TablePlan& plan);
// All filled cells are units, and there is one; the sample's cell is none of them.
bool is_units_row(const Record& record, std::optional<std::uint32_t> sample);
// The record is a heading of its own: no numbers, and at least two known headings of which one is a
// constituent.
bool is_heading(const Record& record, const HeadingDictionary& dictionary);
// Whether a number cell that cannot be read may be part of a row that another delimiter cuts.
inline bool may_be_cut_otherwise(std::string_view unreadable) {
    return unreadable.find_first_of(";|\t,") != std::string_view::npos;
}
// A delimiter that parts numbers inside the cells of the record, so that it is not cut as the file is: rows
// pasted from elsewhere; zero when there is none. `width`: headings of the table.
char foreign_delimiter(const Record& record, std::size_t width);
// The first cell that is not blank; empty when all are.
std::string_view first_filled(const Record& record);

} // namespace thresh::intake

// What can only be decided once a whole column has been read. Each decision stands in a file of its own
// (detect_*.cpp) and leaves a note when it assumed something or could not decide; cells of a column in doubt
// become doubtful, times of one missing.
#pragma once

#include "intake/file_data.hpp"

namespace thresh::intake {

// Day and month, spreadsheet serials, date beside clock: makes the raw times of all blocks times.
void settle_times(TableData& table, const ExportOptions& options, std::vector<IntakeNote>& notes);
// Decimal and thousands marks of each number column.
void settle_decimals(TableData& table, const ConstituentTable& constituents, const ExportOptions& options,
                     std::vector<IntakeNote>& notes);
// Fractions and tenfold units that no heading states; units that a heading leaves open.
void settle_units(TableData& table, const ConstituentTable& constituents, std::vector<IntakeNote>& notes);
// Columns under one meaning: same data or not.
void settle_repeats(TableData& table, const ConstituentTable& constituents, std::vector<IntakeNote>& notes);

// All of them in order, and the notes that the rows' events make.
void settle_table(TableData& table, const ConstituentTable& constituents, const ExportOptions& options,
                  std::vector<IntakeNote>& notes);

// Makes every number of a column doubtful; the exported spelling goes to the side table.
void make_doubtful(TableData& table, std::size_t column);
// The same for one cell; `shift` is what the unit added to its decimals, `mark` the column's decimal mark.
void make_doubtful(Block& block, Cell& cell, int shift, char mark);
// The spelling of a decimal cell in the export, without blanks and needless signs.
std::string exported_text(Cell cell, int shift, char mark);
// Whether 90 in 100 of the column's values lie in a wide range that seed of soybean and peanut can have;
// false as well for constituents without such a range.
bool looks_plausible(const TableData& table, std::size_t column);

// A note about a column of a table.
IntakeNote column_note(const TableData& table, std::uint32_t position, std::string code, bool doubt,
                       std::string message, std::string help);

} // namespace thresh::intake

// One table on one sheet: heading in the first row, a row of the table in each row below.
#pragma once

#include "report/workbook/book.hpp"

#include <thresh/report/workbook.hpp>

#include <cstddef>
#include <vector>

namespace thresh::report {

// What became of a table, for the sheet that explains, and for reading back.
struct SheetFacts {
    std::size_t rows = 0, of_rows = 0;       // written; that the table has
    std::size_t columns = 0, of_columns = 0; // the same
    std::size_t cut_texts = 0;
    std::size_t notes = 0, of_notes = 0;
    std::size_t written = 0;  // rows of the sheet that hold a cell
    std::size_t hidden = 0;   // columns in a closed outline
    std::size_t empty = 0;    // columns without any value, hidden
    std::uint16_t beside = 0; // first column that is free right of the table
};

inline constexpr std::size_t kSheetRows = 1048576, kSheetColumns = 16384, kCellText = 32767;
// More cells in a table: columns of detail 2 stay in the csv file, so that the workbook can be opened and is
// not what a run takes longest for.
inline constexpr std::size_t kMostCells = 3'000'000;
inline constexpr std::size_t kMostNotes = 1000; // a sheet; more make spreadsheets slow

SheetFacts write_table_sheet(Book& book, lxw_worksheet* sheet, const WorkbookSheet& about,
                             std::optional<int> digits);

// Widest that a column of text gets; longer text is broken.
unsigned widest_text(const summary::OutColumn& column);

// Landscape on A4, so many pages wide that it stays legible (`characters` across), first row repeated.
void set_up_page(Book& book, lxw_worksheet* sheet, unsigned characters);

// Columns whose total width fills a page at the smallest legible scale.
inline constexpr unsigned kPageCharacters = 240;

} // namespace thresh::report

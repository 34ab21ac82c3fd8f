// A sheet as rows of text cells, the shape in which tables come from text files too.
#pragma once

#include "intake/xlsx/book.hpp"

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

namespace thresh::intake::xlsx {

struct SheetCell {
    using Kind = CellKind;
    std::string text; // as a text export of the sheet would hold it, with a decimal point; empty if missing
    Kind kind = Kind::missing;
    bool doubtful = false; // see Cell::doubtful
};

// The columns of one row that a merged range covers, and the text of the range's first cell.
struct SheetSpan {
    std::uint32_t first_column = 0, last_column = 0; // from 0, inclusive
    std::string text;
};

struct SheetRow {
    std::uint32_t row = 0;        // from 1, as the sheet shows it
    std::vector<SheetCell> cells; // column 0 first; missing cells at the end are left out
    std::vector<SheetSpan> spans; // merged ranges that cover cells of this row
};

// Receives a row, valid during the call only; returns false when it wants no more.
using RowSink = std::function<bool(const SheetRow& row)>;

// Called when the rows delivered so far are to be forgotten, because they all come again.
using Restart = std::function<void()>;

// Streams the rows of a sheet that hold anything, in order; a gap between two row numbers is blank rows.
// Merged ranges stand behind the cells: the rows of a sheet that has any come a second time, with spans.
// Numbers are the decimals of number_text.hpp, with a percent sign and times 100 where the sheet shows them
// so, and with the zeros on the left that the sheet shows (IDs). Empty text counts as missing. Cells under a
// merged range stay missing: whoever finds that the row is a heading calls spread_spans. Error when the sheet
// is damaged or gives two values for one cell; the rows delivered before are then not to be used.
Result<void> sheet_to_records(const Book& book, std::size_t index, const RowSink& sink,
                              const Restart& restart);

// Fills the missing cells that merged ranges cover with the text of the range, for rows that are headings.
void spread_spans(SheetRow& row);

} // namespace thresh::intake::xlsx

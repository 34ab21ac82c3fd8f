// Rows of a workbook's sheet in the shape of records.
#pragma once

#include "intake/detect_heading.hpp"
#include "intake/record.hpp"
#include "intake/xlsx/rows.hpp"

#include <optional>
#include <string>
#include <vector>

namespace thresh::intake {

// Makes the row a record whose views are of `row` and of `raw`, which becomes its cells parted by tabs.
void to_record(const xlsx::SheetRow& row, std::string& raw, Record& record);
// The row with merged cells spread, for the search of headings.
HeadRow sheet_head(xlsx::SheetRow row);

// The sheets to read: the one that is named, else the visible ones, in bytewise order of their names. Error
// when there is no such sheet.
Result<std::vector<std::size_t>> sheets_to_read(const xlsx::Book& book,
                                                const std::optional<std::string>& wanted);

// Cells of rows below a heading that are blank because they are merged with those above: their value stands
// in the first row only.
class MergedCells {
  public:
    void see(const xlsx::SheetRow& row, const std::vector<std::string>& headings);
    // `layout-doubtful`, about the first; adds nothing when there was none.
    void tell(const std::string& sheet, std::vector<IntakeNote>& notes) const;

  private:
    std::size_t count_ = 0;
    std::uint32_t line_ = 0, column_ = 0; // of the first; the column from 1
    std::string heading_, value_;
};

} // namespace thresh::intake

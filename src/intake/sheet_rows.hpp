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

} // namespace thresh::intake

// The sheet that says how everything was computed, and what the other sheets hold.
#pragma once

#include "report/workbook/table_sheet.hpp"

#include <span>

namespace thresh::report {

// `facts`: of the workbook's sheets, in their order. Returns how many rows hold a cell.
std::size_t write_how_sheet(Book& book, lxw_worksheet* sheet, const Workbook& workbook,
                            std::span<const SheetFacts> facts);

} // namespace thresh::report

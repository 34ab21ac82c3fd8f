// Charts of lines: the best ones with their standard errors, and two constituents against each other.
#pragma once

#include "report/workbook/book.hpp"

#include <thresh/summary/line_charts.hpp>

#include <span>

namespace thresh::report {

// Fills the sheet with the charts, two a row, and below them the numbers that they show; returns how many
// rows hold a cell. The same charts are put on `lines` at column `beside`, right of the table.
std::size_t write_charts(Book& book, lxw_worksheet* sheet, lxw_worksheet* lines, std::uint16_t beside,
                         std::span<const summary::LineChart> charts, std::span<const unsigned> decimals,
                         std::optional<int> digits);

} // namespace thresh::report

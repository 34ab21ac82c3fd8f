// results.xlsx: the tables of a run as a workbook for people, with the numbers of the csv files.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/how.hpp>
#include <thresh/summary/line_charts.hpp>
#include <thresh/summary/table.hpp>

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace thresh::report {

// A table on a sheet of its own.
struct WorkbookSheet {
    std::string title; // of the sheet: at most 31 characters, none of []:*?/\ (precondition)
    const summary::Table* table = nullptr;
    std::string what;         // what the sheet holds, for the last one: `one row per breeding line`
    std::string file;         // csv file that holds all, named where rows are left out
    std::string freeze_after; // columns up to this one stay in sight; empty: none
    std::size_t at_most = 0;  // rows; 0: as many as a sheet can hold
};

struct Workbook {
    std::vector<WorkbookSheet> sheets; // charts stand on the first one, beside the table
    std::vector<summary::LineChart> charts;
    std::vector<summary::HowSection> how;
    std::string rules;             // the rules in force, as text
    std::string version;           // of thresh
    std::optional<int> digits = 4; // stored decimals, as WriteOptions::digits; full: 16 significant digits
};

// Writes the workbook to `path`, which must not exist; temporary files are made in `scratch` and leave
// nothing. Bytes depend on nothing but the contents. Text that looks like a formula stays text; numbers that
// are not finite become empty cells; bytes that are no UTF-8 and control characters become U+FFFD; text
// beyond the 32,767 characters of a cell, and rows and columns beyond a sheet's 1,048,576 and 16,384, are
// cut, which the last sheet says. Errors: a full disk, a folder that cannot be written, a fault of the
// library; the file is then removed. Afterwards the file is read back to see that every row is there.
Result<void> write_workbook(const Workbook& workbook, const std::string& path, const std::string& scratch);

} // namespace thresh::report

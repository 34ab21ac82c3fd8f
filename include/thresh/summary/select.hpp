// Rows of any table by condition, order and number: --where, --sort and --top.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/table.hpp>

#include <memory>
#include <string>
#include <vector>

namespace thresh::summary {

// Empty or 0: as the table stands.
struct Selection {
    std::vector<std::string> where; // all must hold
    std::string sort;
    std::size_t top = 0;
    bool any() const { return !where.empty() || !sort.empty() || top > 0; }
};

// The rows of `table` that are wanted, in the wanted order.
//   where  `protein > 36`, `line = L-017`, `line = 'L 17'`, `time >= 2026-08-03`; operators = != < <= > >=,
//          joined by `and`. Numbers compare with numbers, text bytewise, times as times. A text may be a
//          pattern of `*` and `?` for = and !=. A missing cell meets no condition but `COLUMN = missing`;
//          `COLUMN != missing` holds for every other.
//   sort   `protein`, `-protein` (largest first), `trial,-protein`. Stable; missing cells last either way.
//   top    so many rows from the start
// Errors: a column that the table does not have (nearest named), a number or time that is none, an operator
// that is none; each with the text concerned.
Result<std::unique_ptr<Table>> select_rows(const Table& table, const Selection& selection);

} // namespace thresh::summary

// The one table of output columns: tables, the data package and docs/tables.md are made from it.
#pragma once

#include <thresh/summary/table.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

struct ColumnDeclaration {
    std::string_view name; // `{c}` stands for each constituent of the season, in table order
    ColumnType type;
    std::string_view description; // one line; `{c}` stands for the constituent's title
    std::uint8_t detail = 0;      // as OutColumn::detail
    std::string_view when = {};   // empty: always
    std::uint8_t decimals = 2;    // for people; a constituent's own column takes the constituent's
    std::uint8_t significant = 0; // as OutColumn::significant
};

struct TableDeclaration {
    std::string_view name;
    std::string_view rows; // what a row is, and the order
    std::vector<ColumnDeclaration> columns;
};

// Every table, in the order of the documentation. A long form has its own declaration: `lines_long`.
const std::vector<TableDeclaration>& table_declarations();

// The column of a table as declared; `info` and `id` fill in `{c}`. Precondition: it is declared.
OutColumn declared_column(std::string_view table, std::string_view column);
OutColumn declared_column(std::string_view table, std::string_view column, ConstituentId id,
                          const ConstituentInfo& info);

// docs/tables.md.
std::string tables_as_markdown();

} // namespace thresh::summary

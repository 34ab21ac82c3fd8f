// Sample lists, reference results and decisions: any table of text whose columns are found by heading.
// Read by the same intake as exports (encoding, delimiter, heading row, workbooks).
#pragma once

#include <thresh/core/constituent.hpp>
#include <thresh/core/result.hpp>
#include <thresh/intake/byte_source.hpp>
#include <thresh/intake/exports.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake {

// A column that the caller knows: its name and the headings it may stand under, best first (the name before
// all, unless it stands among them; compared without case, accents, blanks and punctuation).
struct ListColumn {
    std::string name;
    std::vector<std::string_view> headings;
};

struct ListRow {
    std::uint32_t line = 0; // physical line or sheet row
    std::string sheet;
    std::vector<std::string> cells; // one for each of ListTable::columns, empty when blank
};

struct ListTable {
    std::string source;
    std::vector<std::string> columns;              // headings as exported, position by position
    std::vector<std::optional<std::size_t>> known; // for each ListColumn: index into `columns`
    std::vector<ListRow> rows;
    std::vector<IntakeNote> notes; // what was assumed or left open
    std::uint32_t heading_line = 0;

    // The cell of row `row` in the caller's column `known_index`; empty when there is no such column.
    std::string_view cell(std::size_t row, std::size_t known_index) const {
        const auto& position = known[known_index];
        return position ? std::string_view(rows[row].cells[*position]) : std::string_view();
    }
};

// Impossible: unreadable, not a table, none of `required` (names) found: an Error that names file, line and
// the headings that were seen.
Result<ListTable> read_list(const Input& input, const std::vector<ListColumn>& columns,
                            const std::vector<std::string>& required, const ExportOptions& options);

// Adds notes on the headings that are none of `columns`. One typing error away from a column that the table
// lacks: `heading-unknown`, a doubt, with the heading that may be meant. A second heading of one column:
// `heading-repeated`. All others, remarks of the user mostly, together: `heading-unknown` without doubt.
// Headings that `exports.ignore` names are passed over, and with `numbers` (reference results) those of
// constituents.
void note_unused_columns(ListTable& table, const std::vector<ListColumn>& columns,
                         const ExportOptions& exports, const ConstituentTable* numbers = nullptr);

} // namespace thresh::intake

// Comparing two readings, whatever the cut into blocks.
#pragma once

#include "unit/intake/reading_help.hpp"

namespace intake_test {

// Everything there is to know about one row.
inline std::string row_text(const thresh::Readings& readings, std::size_t row) {
    for (const thresh::Block& block : readings.blocks) {
        if (row < block.first || row >= block.first + block.rows)
            continue;
        std::string all = fmt::format("line {} time {}", block.line[row - block.first], time(readings, row));
        for (const thresh::Column& column : block.table->numbers)
            all += fmt::format(" {}={}", column.position, cell(readings, row, column.constituent));
        for (std::size_t f = 0; f < thresh::kTextFields; ++f)
            all += fmt::format(" [{}]", text(readings, row, static_cast<thresh::TextField>(f)));
        return all;
    }
    return "none";
}

// The first difference in words; empty when there is none.
inline std::string difference(const thresh::Readings& a, const thresh::Readings& b) {
    if (a.rows != b.rows)
        return fmt::format("{} rows and {}", a.rows, b.rows);
    for (std::size_t row = 0; row < a.rows; ++row)
        if (row_text(a, row) != row_text(b, row))
            return row_text(a, row) + " | " + row_text(b, row);
    for (std::size_t f = 0; f < thresh::kTextFields; ++f) {
        if (a.pools[f].size() != b.pools[f].size())
            return "pool sizes";
        for (thresh::TextId id = 0; id < a.pools[f].size(); ++id)
            if (a.pools[f][id] != b.pools[f][id])
                return "pools";
    }
    if (a.rejected.size() != b.rejected.size() || a.notes.size() != b.notes.size())
        return fmt::format("{} rejected, {} notes and {}, {}", a.rejected.size(), a.notes.size(),
                           b.rejected.size(), b.notes.size());
    for (std::size_t i = 0; i < a.rejected.size(); ++i)
        if (a.rejected[i].line != b.rejected[i].line || a.rejected[i].record != b.rejected[i].record ||
            a.rejected[i].reason != b.rejected[i].reason)
            return fmt::format("rejected {}: {} | {}", a.rejected[i].line, a.rejected[i].record,
                               b.rejected[i].record);
    for (std::size_t i = 0; i < a.notes.size(); ++i)
        if (a.notes[i].message != b.notes[i].message || a.notes[i].line != b.notes[i].line ||
            a.notes[i].code != b.notes[i].code)
            return fmt::format("note {} {} | {} {}", a.notes[i].line, a.notes[i].message, b.notes[i].line,
                               b.notes[i].message);
    for (std::size_t f = 0; f < a.files.size(); ++f)
        if (a.files[f].records != b.files[f].records || a.files[f].rejected != b.files[f].rejected ||
            a.files[f].not_a_reading != b.files[f].not_a_reading ||
            a.files[f].lines_skipped != b.files[f].lines_skipped ||
            a.files[f].refused != b.files[f].refused || a.files[f].encoding != b.files[f].encoding ||
            a.files[f].delimiter != b.files[f].delimiter)
            return "files";
    return {};
}

} // namespace intake_test

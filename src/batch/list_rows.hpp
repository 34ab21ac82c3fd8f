// What readers of lists share: cells, places for messages.
#pragma once

#include "batch/words.hpp"

#include <fmt/format.h>
#include <string>
#include <thresh/batch/list_reader.hpp>
#include <vector>

namespace thresh::batch {

// The column of the file that holds a heading, for messages; 0 when it has none.
template <typename Index>
std::uint32_t column_of(const TextRow& row, Index column) {
    return row.column ? row.column(static_cast<std::size_t>(column)) : 0;
}

template <typename Index>
std::string text_of(const TextRow& row, Index column) {
    return std::string(trimmed(row.cell(static_cast<std::size_t>(column))));
}

using Columns = std::vector<bool>; // which of the headings a list has

inline bool blank(const TextRow& row, const Columns& present) {
    for (std::size_t i = 0; i < present.size(); ++i)
        if (present[i] && !trimmed(row.cell(i)).empty())
            return false;
    return true;
}

inline std::string place(const std::string& source, const std::string& sheet) {
    return sheet.empty() ? source : fmt::format("{}[{}]", source, sheet);
}

} // namespace thresh::batch

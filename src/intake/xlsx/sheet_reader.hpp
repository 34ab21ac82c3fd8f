// The cells and merged ranges of one worksheet part.
#pragma once

#include "intake/xlsx/book.hpp"

#include <vector>

namespace thresh::intake::xlsx {

// See Book::read_sheet.
Result<void> stream_cells(const Archive& archive, std::string_view part, const Book::Common& common,
                          CellSink& sink);

// See Book::merged_ranges.
Result<std::vector<MergedRange>> read_merged_ranges(const Archive& archive, std::string_view part);

} // namespace thresh::intake::xlsx

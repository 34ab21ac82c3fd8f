// The cells and merged ranges of one worksheet part.
#pragma once

#include "intake/xlsx/book.hpp"

#include <vector>

namespace thresh::intake::xlsx {

// See Book::read_sheet.
Result<std::vector<MergedRange>> stream_cells(const Archive& archive, std::string_view part,
                                              const Book::Common& common, CellSink& sink);

} // namespace thresh::intake::xlsx

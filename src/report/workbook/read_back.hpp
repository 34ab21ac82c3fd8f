// Whether a workbook that was written holds all that was written to it.
#pragma once

#include <thresh/core/result.hpp>

#include <cstddef>
#include <span>
#include <string>

namespace thresh::report {

// `rows[i]`: rows of sheet i that hold a cell. Reads every sheet: its checksum, its end, its rows. The
// library does not look whether writing its temporary files went well, so that a disk that is full for a
// moment could cut a sheet unseen.
Result<void> read_back(const std::string& path, std::span<const std::size_t> rows);

} // namespace thresh::report

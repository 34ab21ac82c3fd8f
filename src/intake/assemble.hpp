// The files' tables into one set of readings.
#pragma once

#include "intake/file_data.hpp"

#include <thresh/core/readings.hpp>

#include <vector>

namespace thresh::intake {

// Puts files (in canonical order) together: block numbers, one pool for each text field sorted bytewise,
// notes and rejected rows in canonical order, counts.
Readings assemble(std::vector<FileData> files, std::vector<Pools> pools, unsigned threads);

} // namespace thresh::intake

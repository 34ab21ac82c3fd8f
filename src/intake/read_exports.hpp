// read_exports with the ways of reading pinned, for tests.
#pragma once

#include "intake/file_data.hpp"

#include <thresh/intake/exports.hpp>

#include <vector>

namespace thresh::intake {

Readings read_exports(std::vector<Input> inputs, const ConstituentTable& table, const ExportOptions& options,
                      const ReadSettings& settings);

// One input to its tables, settled; text ids are of `pools`.
FileData read_input(const Input& input, const HeadingDictionary& dictionary, const ExportOptions& options,
                    const ReadSettings& settings, std::vector<Pools>& pools, std::size_t first,
                    unsigned threads);

} // namespace thresh::intake

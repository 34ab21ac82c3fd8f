// A text file to tables.
#pragma once

#include "intake/file_data.hpp"
#include "intake/heading.hpp"

#include <vector>

namespace thresh::intake {

// What the reading of all files shares.
struct ReadContext {
    const HeadingDictionary& dictionary;
    const ExportOptions& options;
    ReadSettings settings;
};

// Reads the text of one input with the threads whose pools are `pools[first]` to `pools[first + threads -
// 1]`. A refusal is in the result's `info`.
FileData read_text(const Input& input, const ReadContext& context, std::vector<Pools>& pools,
                   std::size_t first, unsigned threads);

} // namespace thresh::intake

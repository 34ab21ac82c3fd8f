// Which files a command reads: given files, files of given folders, standard input.
#pragma once

#include "cli/file_source.hpp"

#include <optional>
#include <string>
#include <thresh/core/result.hpp>
#include <thresh/intake/byte_source.hpp>
#include <vector>

namespace thresh::cli {

struct FoundInputs {
    std::vector<intake::Input>
        inputs; // each file once, whatever the ways to it; order bytewise by source, which is UTF-8
    std::vector<std::string> paths;               // beside `inputs`; `-` for standard input
    std::vector<std::optional<FileState>> states; // beside them: when they were found; nothing for `-`
    std::vector<std::string> passed_over;         // files of folders that are no exports, harmless
    std::vector<std::string> links;     // not followed, though an export or a folder may stand behind them
    std::vector<std::string> unsettled; // changed within the last --settle seconds: left for next time
    std::vector<std::string> ahead;     // read, though --settle cannot tell: changed later than it is now
};

// Folders are searched recursively for .csv .tsv .txt .xlsx (any case, not hidden, not `~$`); a folder that
// holds results of this program is not entered, a table of results is passed over; links that leave the
// folder are not followed. What was named and cannot be opened, or is a table of results, stays in `inputs`
// with its error. `settle_seconds`: see above, 0 = off. Files are asked for their state by `threads` side by
// side.
FoundInputs find_inputs(const std::vector<std::string>& exports, std::uint32_t settle_seconds,
                        unsigned threads);

// Whether `folder` holds results of this program.
bool holds_results(const std::string& folder);

} // namespace thresh::cli

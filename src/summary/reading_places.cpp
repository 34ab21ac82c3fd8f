#include "summary/reading_places.hpp"

#include <fmt/format.h>
#include <set>

namespace thresh::summary {

std::vector<std::string> block_sources(const batch::Batch& batch) {
    std::vector<std::set<std::string_view>> sheets(batch.readings.files.size());
    for (const Block& block : batch.readings.blocks)
        sheets[block.file].insert(block.sheet);
    std::vector<std::string> sources;
    for (const Block& block : batch.readings.blocks) {
        const std::string& source = batch.readings.files[block.file].source;
        sources.push_back(sheets[block.file].size() > 1 ? fmt::format("{}[{}]", source, block.sheet)
                                                        : source);
    }
    return sources;
}

std::string column_letters(std::uint32_t position) {
    std::string letters;
    for (std::uint32_t rest = position + 1; rest > 0; rest = (rest - 1) / 26)
        letters.insert(letters.begin(), static_cast<char>('A' + (rest - 1) % 26));
    return letters;
}

std::string cell_place(const batch::Batch& batch, RowId row, std::uint32_t position) {
    const Block& block = batch.block_of(row);
    const std::string& source = batch.readings.files[block.file].source;
    const std::uint32_t line = block.line[row - block.first];
    if (!block.sheet.empty())
        return fmt::format("{}[{}]!{}{}", source, block.sheet, column_letters(position), line);
    return fmt::format("{}:{}:{}", source, line, position + 1);
}

} // namespace thresh::summary

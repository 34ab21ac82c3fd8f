#include "intake/side_places.hpp"

#include <thresh/core/parallel.hpp>

#include <utility>

namespace thresh::intake {

namespace {

// Whether any cell of a row has text beside it: without a branch, so that several are asked at once.
bool any_side(const Cell* cells, std::size_t width) {
    // One more than the tag, round the clock: 0 missing, 1 to 10 decimals, above them what has a side entry.
    constexpr std::int32_t kTags = (1 << Cell::kTagBits) - 1, kLastDecimal = Cell::kMaxDecimals + 1;
    std::int32_t any = 0;
    for (std::size_t c = 0; c < width; ++c) {
        const std::int32_t tag = (cells[c].bits() & kTags) + 1;
        any |= (tag & kTags) > kLastDecimal ? 1 : 0;
    }
    return any != 0;
}

void find_side(const Part& part, SidePlace at, std::vector<std::vector<SidePlace>>& into) {
    const Block& block = part.blocks[at.block];
    const std::size_t width = into.size();
    if (block.side.empty())
        return;
    for (at.row = 0; at.row < block.rows; ++at.row) {
        const std::size_t first = at.row * width;
        if (!any_side(block.cells.data() + first, width))
            continue;
        for (std::size_t c = 0; c < width; ++c)
            if (has_side(block.cells[first + c]) && !part.is_native(at.block, first + c))
                into[c].push_back(at);
    }
}

} // namespace

std::vector<std::vector<SidePlace>> side_places(const TableData& table, unsigned threads) {
    const std::size_t width = table.plan.numbers.size();
    std::vector<SidePlace> blocks;
    for (std::uint32_t p = 0; p < table.parts.size(); ++p)
        for (std::uint32_t b = 0; b < table.parts[p].blocks.size(); ++b)
            blocks.push_back({p, b, 0});
    std::vector<std::vector<std::vector<SidePlace>>> of_block(blocks.size());
    parallel_for(blocks.size(), threads, [&](std::size_t i) {
        of_block[i].resize(width);
        find_side(table.parts[blocks[i].part], blocks[i], of_block[i]);
    });
    std::vector<std::vector<SidePlace>> all(width);
    for (const auto& columns : of_block)
        for (std::size_t c = 0; c < width; ++c)
            all[c].insert(all[c].end(), columns[c].begin(), columns[c].end());
    return all;
}

} // namespace thresh::intake

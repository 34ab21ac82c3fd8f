#include <thresh/core/shares.hpp>

#include <unordered_set>

namespace thresh {

std::vector<PartOf> shares_in_results(const Readings& readings, const ConstituentTable& constituents) {
    std::vector<PartOf> parts, first;
    for (std::size_t id = 0; id < constituents.size(); ++id)
        parts.push_back(constituents[static_cast<ConstituentId>(id)].part_of);
    first = parts;
    std::vector<bool> usual(parts.size()), seen(parts.size());
    std::unordered_set<const TableColumns*> known;
    for (const Block& block : readings.blocks) {
        if (!known.insert(block.table.get()).second)
            continue;
        for (const Column& column : block.table->numbers) {
            usual[column.constituent] =
                usual[column.constituent] || column.part_of == parts[column.constituent];
            if (!seen[column.constituent])
                first[column.constituent] = column.part_of;
            seen[column.constituent] = true;
        }
    }
    for (std::size_t id = 0; id < parts.size(); ++id)
        if (seen[id] && !usual[id])
            parts[id] = first[id];
    return parts;
}

} // namespace thresh

// Ids of text were given by each thread in the order of arrival; here they are renumbered by the bytes of
// the texts, so that neither threads nor the order of files shows in the result.
#include "intake/assemble.hpp"

#include <thresh/core/parallel.hpp>

#include <algorithm>
#include <unordered_map>

namespace thresh::intake {

namespace {

// For each thread and id, the id in the final pool.
using Renumbering = std::vector<std::vector<TextId>>;

// Leaves out the texts that no row uses: those of rows that were read and then read again in another way.
void drop_unused(std::vector<Block>& blocks, const std::vector<std::size_t>& block_pools,
                 std::vector<Pools>& pools, std::size_t field) {
    std::vector<std::vector<bool>> used;
    for (const Pools& pool : pools)
        used.emplace_back(pool.pools[field].size());
    for (std::size_t b = 0; b < blocks.size(); ++b)
        for (std::size_t row = 0; row < blocks[b].text[field].size(); ++row)
            if (const TextId id = blocks[b].text[field][row]; id != kNoText)
                used[block_pools[b]][id] = true;
    std::vector<std::vector<TextId>> new_id(pools.size());
    for (std::size_t p = 0; p < pools.size(); ++p) {
        TextPool kept;
        for (TextId id = 0; id < used[p].size(); ++id)
            new_id[p].push_back(used[p][id] ? kept.intern(pools[p].pools[field][id]) : kNoText);
        pools[p].pools[field] = std::move(kept);
    }
    for (std::size_t b = 0; b < blocks.size(); ++b)
        blocks[b].text[field].renumber([&](TextId id) { return new_id[block_pools[b]][id]; });
}

Renumbering merge(TextPool& into, std::vector<Pools>& pools, std::size_t field, unsigned threads) {
    std::vector<const TextPool*> of_field;
    for (const Pools& pool : pools)
        of_field.push_back(&pool.pools[field]);
    Renumbering final_id;
    into = TextPool::merge(of_field, threads, final_id);
    for (Pools& pool : pools)
        pool.pools[field] = {};
    return final_id;
}

bool note_before(const IntakeNote& a, const IntakeNote& b) {
    return std::tie(a.file, a.sheet, a.line, a.column, a.code, a.message) <
           std::tie(b.file, b.sheet, b.line, b.column, b.code, b.message);
}

// Many exports have one heading: equal ones become one, so that what is worked out for a table's columns is
// worked out once.
class EqualTables {
  public:
    std::shared_ptr<const TableColumns> first_equal(const std::shared_ptr<const TableColumns>& table) {
        if (const auto known = known_.find(table.get()); known != known_.end())
            return known->second;
        return known_[table.get()] = search(table);
    }

  private:
    std::shared_ptr<const TableColumns> search(const std::shared_ptr<const TableColumns>& table) {
        std::uint64_t key = table->heading_line;
        for (const std::string& heading : table->headings)
            key = key * 31 + hash_bytes(heading);
        const auto [begin, end] = seen_.equal_range(key);
        const auto at = std::find_if(begin, end, [&](const auto& seen) { return *seen.second == *table; });
        return at != end ? at->second : seen_.emplace(key, table)->second;
    }

    std::unordered_multimap<std::uint64_t, std::shared_ptr<const TableColumns>> seen_;
    // By address: tables whose heading was met before share their columns already. All of them outlive this.
    std::unordered_map<const TableColumns*, std::shared_ptr<const TableColumns>> known_;
};

void take_part(Readings& readings, Part& part, std::uint32_t file, const std::string& sheet,
               const std::shared_ptr<const TableColumns>& table, std::vector<std::size_t>& block_pools) {
    SourceFile& info = readings.files[file];
    info.records += part.records;
    info.rejected += part.rejected.size();
    info.not_a_reading += part.not_a_reading;
    info.lines_skipped += part.blank;
    for (Block& block : part.blocks) {
        if (block.rows == 0)
            continue;
        block.file = file;
        block.sheet = sheet;
        block.table = table;
        block_pools.push_back(part.pools);
        readings.blocks.push_back(std::move(block));
    }
    std::move(part.number_ids.begin(), part.number_ids.end(), std::back_inserter(readings.number_ids));
    for (RejectedRow& row : part.rejected) {
        row.file = file;
        row.sheet = sheet;
        IntakeNote note;
        note.code = "row-rejected";
        note.file = file;
        note.sheet = sheet;
        note.line = row.line;
        note.doubt = true;
        note.message = row.reason;
        note.help = "correct the export; the record stands word for word in rejected.csv";
        readings.notes.push_back(std::move(note));
        readings.rejected.push_back(std::move(row));
    }
}

void take_file(Readings& readings, FileData& file, EqualTables& tables,
               std::vector<std::size_t>& block_pools) {
    const auto number = static_cast<std::uint32_t>(readings.files.size());
    readings.files.push_back(std::move(file.info));
    for (IntakeNote& note : file.notes) {
        note.file = number;
        readings.notes.push_back(std::move(note));
    }
    for (TableData& table : file.tables) {
        const std::shared_ptr<const TableColumns> columns = tables.first_equal(table.plan.table);
        for (Part& part : table.parts)
            take_part(readings, part, number, table.sheet, columns, block_pools);
    }
    const SourceFile& info = readings.files.back();
    IntakeNote note;
    note.file = number;
    note.doubt = true;
    if (info.refused) {
        note.code = "file-refused";
        note.line = info.refusal.line;
        note.column = info.refusal.column;
        note.message = info.refusal.message;
        note.help = info.refusal.help;
    } else if (info.records == info.not_a_reading) {
        note.code = "readings-absent";
        note.message = "has headings but no reading below them";
        note.help = "export it again with the readings of its session, or take it away if there were none";
    } else {
        return;
    }
    readings.notes.push_back(std::move(note));
}

} // namespace

Readings assemble(std::vector<FileData> files, std::vector<Pools> pools, unsigned threads) {
    Readings readings;
    std::vector<std::size_t> block_pools;
    EqualTables tables;
    bool discarded = false;
    for (FileData& file : files) {
        discarded = discarded || file.discarded;
        take_file(readings, file, tables, block_pools);
    }
    // What is left of thousands of files is many small pieces of memory.
    parallel_for(files.size(), threads, [&](std::size_t f) { files[f] = {}; });
    std::array<Renumbering, kTextFields> final_ids;
    if (discarded)
        parallel_for(kTextFields, threads,
                     [&](std::size_t field) { drop_unused(readings.blocks, block_pools, pools, field); });
    // Sample IDs are nearly all of the text: threads share each field rather than the fields.
    for (std::size_t field = 0; field < kTextFields; ++field)
        final_ids[field] = merge(readings.pools[field], pools, field, threads);
    parallel_for(readings.blocks.size(), threads, [&](std::size_t b) {
        readings.blocks[b].time.fit();
        for (std::size_t field = 0; field < kTextFields; ++field) {
            const std::vector<TextId>& ids = final_ids[field][block_pools[b]];
            TextColumn& column = readings.blocks[b].text[field];
            column.renumber([&](TextId id) { return ids[id]; });
            column.fit(readings.pools[field].size());
        }
    });
    for (Block& block : readings.blocks) {
        block.first = readings.rows;
        readings.rows += block.rows;
    }
    std::stable_sort(readings.notes.begin(), readings.notes.end(), note_before);
    std::vector<std::string>& ids = readings.number_ids;
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    return readings;
}

} // namespace thresh::intake

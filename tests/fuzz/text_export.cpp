// Any bytes as an export, a list and an inspection: each must end with rows or with a refusal that says why,
// and every record must be counted exactly once.
#include <thresh/intake/inspect.hpp>
#include <thresh/intake/list_table.hpp>

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

using namespace thresh;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const ConstituentTable table;
    const intake::Input input{
        "fuzz.csv",
        std::make_shared<intake::MemorySource>(std::string(reinterpret_cast<const char*>(data), size)),
        {}};
    const Readings readings = intake::read_exports({input}, table, {});
    const SourceFile& file = readings.files[0];
    if (file.refused ? file.refusal.message.empty() || file.refusal.help.empty()
                     : file.records != readings.rows + file.rejected + file.not_a_reading)
        std::abort();
    if (readings.rejected.size() != file.rejected)
        std::abort();
    for (const Block& block : readings.blocks)
        if (block.cells.size() != block.rows * block.table->numbers.size() || block.line.size() != block.rows)
            std::abort();
    if (!readings.blocks.empty())
        intake::record_text(input, file, readings.blocks[0].line[0], 0);
    const auto list = intake::read_list(input, {{"sample", {}}, {"line", {}}}, {"sample"}, {});
    if (list)
        for (const intake::ListRow& row : list->rows)
            if (row.cells.size() != list->columns.size())
                std::abort();
    if (intake::inspect(input, table, {}).file.refused != file.refused)
        std::abort();
    return 0;
}

// Two things would leave processors idle in turn: making a table is partly the work of one thread, and a disk
// takes its time to say that it has everything. So the next table is made, and the one before is put on the
// disk, while one is written. A table is hashed as it goes out, in order: nothing is read again.
#include "cli/run_tables.hpp"

#include "cli/output.hpp"
#include "cli/sha256.hpp"

#include <future>

namespace thresh::cli {

namespace {

// The file, written but perhaps not yet on the disk.
Result<std::unique_ptr<Output>> write_hashed(const std::string& path, const report::WriteOptions& options,
                                             WrittenTable& written) {
    auto output = open_output(path);
    auto hash = Sha256::begin();
    if (!output)
        return output;
    if (!hash)
        return tl::unexpected(hash.error());
    report::write_table(*written.table, options, [&](std::string_view bytes) {
        hash->add(bytes);
        return (*output)->write(bytes);
    });
    written.sha256 = hash->hex();
    return output;
}

} // namespace

Result<std::vector<WrittenTable>> write_tables(const std::string& folder,
                                               const std::vector<TableToWrite>& tables,
                                               const report::WriteOptions& options,
                                               const std::function<void(const std::string&)>& stage) {
    const auto ahead = options.threads > 1 ? std::launch::async : std::launch::deferred;
    const auto make = [&](std::size_t i) {
        return i < tables.size() ? std::async(ahead, tables[i].make)
                                 : std::future<std::unique_ptr<summary::Table>>();
    };
    std::vector<WrittenTable> all;
    std::vector<std::future<Result<void>>> on_disk; // whose destruction waits
    auto next = make(0);
    for (std::size_t i = 0; i < tables.size(); ++i) {
        stage(tables[i].file);
        WrittenTable written{tables[i].file, next.get(), {}};
        next = make(i + 1);
        auto output = write_hashed(folder + "/" + tables[i].file, options, written);
        if (!output)
            return tl::unexpected(output.error());
        on_disk.push_back(
            std::async(std::launch::async,
                       [file = std::shared_ptr<Output>(std::move(*output))] { return file->finish(); }));
        all.push_back(std::move(written));
    }
    for (auto& file : on_disk)
        if (auto done = file.get(); !done)
            return tl::unexpected(done.error());
    return all;
}

} // namespace thresh::cli

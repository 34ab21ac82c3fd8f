// Two things would leave processors idle in turn: making a table is partly the work of one thread, and a disk
// takes its time to say that it has everything. So one thread makes tables ahead, and those that were written
// are put on the disk, while one is written. A table is hashed as it goes out, in order: nothing is read
// again.
#include "cli/run_tables.hpp"

#include "cli/output.hpp"
#include "cli/sha256.hpp"

#include <future>
#include <thread>

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

// Makes tables in order: on a thread of its own, or each when it is asked for.
class TablesAhead {
  public:
    TablesAhead(const std::vector<TableToWrite>& tables, bool on_own_thread) {
        for (const TableToWrite& table : tables) {
            tasks_.emplace_back(table.make);
            made_.push_back(tasks_.back().get_future());
        }
        if (on_own_thread)
            maker_ = std::jthread([this](const std::stop_token& stop) {
                for (auto& task : tasks_)
                    if (!stop.stop_requested())
                        task();
            });
    }
    std::unique_ptr<summary::Table> get(std::size_t i) {
        if (!maker_.joinable())
            tasks_[i]();
        return made_[i].get();
    }

  private:
    std::vector<std::packaged_task<std::unique_ptr<summary::Table>()>> tasks_;
    std::vector<std::future<std::unique_ptr<summary::Table>>> made_;
    std::jthread maker_; // last: it uses the tasks
};

} // namespace

Result<std::vector<WrittenTable>> write_tables(const std::string& folder,
                                               const std::vector<TableToWrite>& tables,
                                               const report::WriteOptions& options,
                                               const std::function<void(const std::string&)>& stage) {
    TablesAhead made(tables, options.threads > 1);
    std::vector<WrittenTable> all;
    std::vector<std::future<Result<void>>> on_disk; // whose destruction waits
    for (std::size_t i = 0; i < tables.size(); ++i) {
        stage(tables[i].file);
        WrittenTable written{tables[i].file, made.get(i), {}};
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

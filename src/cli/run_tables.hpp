// The tables of a results folder, written one after the other.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <thresh/core/result.hpp>
#include <thresh/report/write.hpp>
#include <thresh/summary/table.hpp>
#include <vector>

namespace thresh::cli {

struct TableToWrite {
    std::string file; // its name in the folder
    std::function<std::unique_ptr<summary::Table>()> make;
};

struct WrittenTable {
    std::string file;
    std::unique_ptr<summary::Table> table;
    std::string sha256; // of the file, in hexadecimal
};

// Writes each table into the folder, in order, and makes sure that it is on the disk. `stage` is called with
// the file that is begun. With more than one thread a thread of its own makes the tables ahead. Error: a file
// that cannot be written.
Result<std::vector<WrittenTable>> write_tables(const std::string& folder,
                                               const std::vector<TableToWrite>& tables,
                                               const report::WriteOptions& options,
                                               const std::function<void(const std::string&)>& stage);

} // namespace thresh::cli

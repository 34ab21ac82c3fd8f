// One text format: what stands before, between and after the rows. A new format is a file with one of these.
#pragma once

#include <thresh/report/write.hpp>
#include <thresh/summary/table.hpp>

#include <cstddef>
#include <memory>
#include <string>

namespace thresh::report {

// The decimals of a number of this column when `digits` are asked for; nothing for full.
inline std::optional<int> digits_of_column(const summary::OutColumn& column, double value,
                                           std::optional<int> digits) {
    if (column.significant == 0 || !digits)
        return digits;
    return decimals_to_show(value, *digits, column.significant);
}

class FormatWriter {
  public:
    virtual ~FormatWriter() = default;
    // Each writes its text over what `room` held, which need not be empty, from its front on, and tells how
    // long the text is. What stands behind it means nothing: to cut it off would have it filled again.
    virtual std::size_t head(const summary::Table& table, std::string& room) const = 0;
    // Rows [first, last). Called for neighbouring ranges from several threads.
    virtual std::size_t rows(const summary::Table& table, std::size_t first, std::size_t last,
                             std::string& room) const = 0;
    virtual std::size_t tail(const summary::Table& table, std::string& room) const = 0;
};

std::unique_ptr<FormatWriter> csv_writer(const WriteOptions& options);
std::unique_ptr<FormatWriter> tsv_writer(const WriteOptions& options);
std::unique_ptr<FormatWriter> json_writer(const WriteOptions& options, bool one_object_a_line);

// For people: needs the whole table to fit it, so it writes on its own.
void write_terminal_table(const summary::Table& table, const WriteOptions& options, const Output& output);

} // namespace thresh::report

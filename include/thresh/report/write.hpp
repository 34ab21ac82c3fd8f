// Tables as bytes: csv, tsv, json, ndjson for programs, a fitted table for people.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/table.hpp>

#include <functional>
#include <optional>
#include <string>
#include <string_view>

namespace thresh::report {

enum class Format : std::uint8_t { table, csv, tsv, json, ndjson };

struct WriteOptions {
    Format format = Format::csv;
    std::optional<int> digits = 4; // decimals; nullopt = full, the shortest that reads back
    bool color = false;            // table only
    unsigned width = 0;            // of the terminal, table only; 0 = unlimited
    unsigned threads = 1;
};

// Receives output in pieces, in order. A false answer stops writing (closed pipe).
using Output = std::function<bool(std::string_view)>;

// Writes the table. The bytes depend on nothing but table and options.
void write_table(const summary::Table& table, const WriteOptions& options, const Output& output);

// `value` with exactly `digits` decimals, nearest, ties to even on the exact binary value, never -0;
// or the shortest text that reads back. Appends to `into`.
void append_number(std::string& into, double value, std::optional<int> digits);
// The decimals that `value` needs to show `significant` digits, at least `digits` (0.000041 with 4: 7).
int decimals_to_show(double value, int digits, int significant);

} // namespace thresh::report

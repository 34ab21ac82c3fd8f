// What reading a piece of a table gives, before the pieces are put together.
#pragma once

#include "intake/known_layouts.hpp"
#include "intake/scan.hpp"
#include "intake/time_cell.hpp"

#include <thresh/core/readings.hpp>

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace thresh::intake {

// What one thread keeps from file to file: its text pools (ids in a part are of the pools of the thread that
// read it) and its buffers.
struct Pools {
    std::array<TextPool, kTextFields> pools;
    std::vector<char> buffer;                // the piece of a file being read
    Rows rows;                               // its structure
    KnownLayouts layouts;                    // of the files so far
    std::vector<unsigned char> summary_word; // by sample id: 1 when the ID is a word such as "Mean"
    bool any_summary_word = false;           // nearly never: then nothing need be looked up
};

// What a record turned out to be.
enum class RowOutcome : std::uint8_t { reading, blank, rejected, not_a_reading, new_table };

// Things that happen to rows, counted by kind.
enum class RowEvent : std::uint8_t {
    summary_row,
    repeated_heading,
    units_row,
    text_row,
    short_row,
    stray_quote,
    unnamed_cell,
    uncomputed
};
inline constexpr std::size_t kRowEvents = 8;

struct EventCount {
    std::size_t count = 0;
    std::uint32_t line = 0; // of the first
    std::uint32_t column = 0;
    std::string example; // of the first
};

// From this row on times state this offset from UTC, or none. Rows without a clock time do not count.
struct OffsetRun {
    std::size_t block = 0, row = 0;
    std::int16_t offset = kNoOffset;
};

struct Part {
    std::vector<Block> blocks;               // lines relative to `line_base`; times raw
    std::vector<std::vector<RawTime>> clock; // beside each block, when the table has a second time column
    // Beside each block of a workbook, for each of its cells: a number of the sheet, which has no spelling.
    std::vector<std::vector<bool>> native;
    bool is_native(std::size_t block, std::size_t cell) const {
        return block < native.size() && cell < native[block].size() && native[block][cell];
    }
    std::array<std::array<EventCount, kTimeForms>, 2> time_forms; // of the time and of the clock column
    // Beside `time_forms`, by the set of orders in which an open date is no day (TimeCell::unfit).
    std::array<std::array<EventCount, kOrderSets>, 2> unfit_dates;
    std::array<std::vector<OffsetRun>, 2> offsets; // of the time and of the clock column; none: no offsets
    std::array<EventCount, kRowEvents> events;
    std::vector<std::size_t> repeats_differ; // by TablePlan::repeats: rows in which they differ
    std::vector<std::uint32_t> repeats_line; // first such line
    std::vector<RejectedRow> rejected;
    std::vector<std::string> number_ids; // see Readings::number_ids; as read
    std::size_t records = 0, not_a_reading = 0, blank = 0;
    std::size_t longer = 0;  // of the rejected: more cells than headings
    std::uint32_t lines = 0; // physical lines taken
    std::size_t pools = 0;   // which thread's pools

    // Adds `base` to every line number: a piece of a file is read before it is known where it starts.
    void shift_lines(std::uint32_t base);
    std::size_t rows() const {
        std::size_t sum = 0;
        for (const Block& block : blocks)
            sum += block.rows;
        return sum;
    }
};

} // namespace thresh::intake

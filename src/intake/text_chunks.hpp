// The rows of one table of a text, in pieces that several threads read.
#pragma once

#include "intake/file_data.hpp"
#include "intake/heading.hpp"

#include <thresh/intake/byte_source.hpp>

#include <cstdint>
#include <vector>

namespace thresh::intake {

struct RowsWanted {
    const ByteSource& source; // UTF-8
    std::uint64_t from = 0;   // offset of the first row
    std::uint32_t line = 1;   // its physical line
    Dialect dialect;
    const TablePlan& plan;
    const HeadingDictionary& dictionary;
    ReadSettings settings;
    bool checked = false;        // known to be UTF-8
    std::size_t row_bytes = 100; // about how long a row is
};

struct RowsRead {
    std::vector<Part> parts;
    std::uint64_t end = 0;  // where the rows end: the end of the text or the heading of another table
    std::uint32_t line = 1; // physical line there
    bool new_table = false;
    bool invalid_utf8 = false; // then nothing else counts
    bool discarded = false;    // texts may have been interned that no row uses
};

// Reads rows with the threads whose pools are `pools[first]` to `pools[first + threads - 1]`. Error when the
// source fails or a line is too long to be a record.
Result<RowsRead> read_rows(const RowsWanted& wanted, std::vector<Pools>& pools, std::size_t first,
                           unsigned threads);

} // namespace thresh::intake

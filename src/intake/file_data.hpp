// What one input gives: its tables in parts, and what there is to say about it.
#pragma once

#include "intake/detect_layout.hpp"
#include "intake/part.hpp"
#include "intake/table_plan.hpp"

#include <thresh/core/readings.hpp>
#include <thresh/intake/byte_source.hpp>

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace thresh::intake {

struct TableData {
    TablePlan plan;
    std::string sheet;
    std::vector<Part> parts;         // in file order
    std::size_t unit_rows = 0;       // rows of units below the heading
    bool mark_proven = false;        // the decimal mark needs no proof: given, or numbers of a workbook
    bool comma_delimited = false;    // commas part the cells, so that they cannot be decimal marks
    std::vector<NumberStyle> styles; // of each number column, once settled
    std::string date_format;         // iso, dmy, mdy, ymd, serial1900, serial1904; empty: none or undecided
    std::string date_proof;          // what told
};

struct FileData {
    SourceFile info;
    std::vector<TableData> tables; // in canonical order
    std::vector<IntakeNote> notes; // of file and sheet; file number not yet set
    std::vector<RejectedRow> rejected;
    std::shared_ptr<const Layout> layout; // of a text's first table
    std::string encoding_found;           // how the encoding was told
    bool discarded = false;               // some of it was read twice: the pools hold texts that no row uses
};

// Which ways of reading are used; results are the same for all. For tests.
enum class Path : std::uint8_t { automatic, straightforward };

struct ReadSettings {
    Path path = Path::automatic;
    std::size_t chunk_bytes = 4 * 1024 * 1024; // pieces of a big file
    std::size_t buffer_bytes = 64 * 1024;      // read at a time
    bool plain_scan = false;                   // without wide instructions
};

} // namespace thresh::intake

// What intake delivers: files, their tables, and blocks of readings with the place of every row.
#pragma once

#include <thresh/core/basis.hpp>
#include <thresh/core/cell.hpp>
#include <thresh/core/constituent.hpp>
#include <thresh/core/line_column.hpp>
#include <thresh/core/result.hpp>
#include <thresh/core/row_memory.hpp>
#include <thresh/core/text_column.hpp>
#include <thresh/core/text_pool.hpp>
#include <thresh/core/time_column.hpp>

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace thresh {

// A column of numbers as its heading describes it. Cells are held in percent (or the constituent's own unit):
// the heading's unit has been applied to the decimal already.
struct Column {
    ConstituentId constituent = kNoConstituent;
    PartOf part_of = PartOf::sample;
    Basis basis;                // stated by heading, rules or option; not_stated where nobody said
    bool basis_given = false;   // settled by rules or --assume-basis, not by the heading
    std::uint32_t position = 0; // column in the sheet, from 0
    std::string heading;        // as exported, line breaks as spaces
    std::string unit;           // as exported: "%", "g/kg", ... ; empty when none was stated
    friend bool operator==(const Column&, const Column&) = default;
};

// A column that is kept but means nothing to us (heading-unknown).
struct UnknownColumn {
    std::uint32_t position = 0;
    std::string heading;
    friend bool operator==(const UnknownColumn&, const UnknownColumn&) = default;
};

// The heading of a table and what each column means. Shared by the blocks of its rows, and by the tables of
// other files whose heading is the same: what is worked out for one of them holds for all.
struct TableColumns {
    std::vector<Column> numbers;                                // at most one for each constituent
    std::array<std::optional<std::uint32_t>, kTextFields> text; // sheet position of each text column
    std::optional<std::uint32_t> time;
    std::vector<UnknownColumn> unknown;
    std::vector<std::string> headings; // every heading of the sheet, by position
    std::uint32_t heading_line = 0;    // physical line (sheet row) of the heading

    // Index into `numbers`; nothing when the table has no such constituent.
    std::optional<std::size_t> find(ConstituentId id) const {
        for (std::size_t i = 0; i < numbers.size(); ++i)
            if (numbers[i].constituent == id)
                return i;
        return std::nullopt;
    }
    friend bool operator==(const TableColumns&, const TableColumns&) = default;
};

// What stands beside a cell that is not a plain decimal.
struct SideEntry {
    double value = 0; // wide: the number; below_limit: the limit; in the column's percent
    std::string text; // the cell as exported
};

// Up to some 64 k readings of one table, in file order. Row-major cells: a reading's values lie together.
struct Block {
    static constexpr std::size_t kMaxRows = 65536;

    std::uint32_t file = 0; // index into Readings::files
    std::string sheet;      // name of the sheet of a workbook; empty for text
    std::shared_ptr<const TableColumns> table;
    std::size_t rows = 0;
    std::size_t first = 0; // number of the block's first row in the whole, in canonical order
    std::vector<Cell, RowAllocator<Cell>> cells; // rows x table->numbers.size()
    LineColumn line;                             // physical line (sheet row) where the record starts, from 1
    TimeColumn time;                             // empty when the table has no time column
    std::array<TextColumn, kTextFields> text;    // empty: no such column; ids of Readings::pools
    std::vector<SideEntry> side;

    Cell cell(std::size_t row, std::size_t column) const {
        return cells[row * table->numbers.size() + column];
    }
    // Asks the memory for a row's cells. Inline, because g++ takes a function that only asks ahead for one
    // without effect, and leaves the call out.
    [[gnu::always_inline]] void prefetch_cells(std::size_t row) const {
        prefetch_cells(row, table->numbers.size());
    }
    // The same for who knows how many columns the table has.
    [[gnu::always_inline]] void prefetch_cells(std::size_t row, std::size_t columns) const {
        const Cell* const here = cells.data() + row * columns;
        for (std::size_t column = 0; column < columns; column += 64 / sizeof(Cell))
            __builtin_prefetch(here + column);
        __builtin_prefetch(here + (columns == 0 ? 0 : columns - 1));
    }
    Time time_of(std::size_t row) const { return time.empty() ? Time{} : time[row]; }
    TextId text_of(TextField field, std::size_t row) const {
        const auto& ids = text[static_cast<std::size_t>(field)];
        return ids.empty() ? kNoText : ids[row];
    }
    TextColumn::View texts(TextField field) const { return text[static_cast<std::size_t>(field)].view(); }
    // Whether both hold rows of one and the same table, not of tables that look alike.
    bool same_table(const Block& other) const {
        return table == other.table && file == other.file && sheet == other.sheet;
    }
};

// A decision of intake that a person may want to know, or had to be left open. The rules turn it into a
// finding; `code` is the finding's code (INTERFACE of the program: `thresh explain CODE`).
struct IntakeNote {
    std::string code; // basis-assumed, heading-unknown, layout-doubtful, row-rejected, file-refused, ...
    std::uint32_t file = 0;
    std::string list; // source of the sample list or decisions that it is about, `file` then means nothing
    std::string sheet;
    std::uint32_t line = 0;   // physical line or sheet row, 0 = the file as a whole
    std::uint32_t column = 0; // sheet column from 1, 0 = none
    std::string heading;      // of the column concerned
    ConstituentId constituent = kNoConstituent;
    bool doubt = false;  // something was left open: stronger than a note
    std::string message; // what was seen
    std::string help;    // the option or rules entry that settles it
};

// A record that could not become a reading, word for word.
struct RejectedRow {
    std::uint32_t file = 0;
    std::string sheet;
    std::uint32_t line = 0;
    std::string reason;
    std::string record; // the bytes of the record as decoded, without its line end
};

// One input file and how it was understood.
struct SourceFile {
    std::string source;      // as given, joined with the path below a given folder; `-` for standard input
    bool refused = false;    // nothing of it was used
    Error refusal;           // why, when refused
    std::string encoding;    // "UTF-8", "UTF-16LE", "Windows-1252", "workbook"
    std::string delimiter;   // ",", ";", "tab", "|"; empty for workbooks
    std::size_t records = 0; // records below the headings: readings + rejected + not_a_reading
    std::size_t rejected = 0;
    std::size_t not_a_reading = 0;     // units row, repeated heading, summary row, text between tables
    std::size_t lines_skipped = 0;     // preamble and blank records
    std::vector<std::string> preamble; // facts about the file that stood above the heading
};

struct Readings {
    std::vector<SourceFile> files;           // canonical order: source bytewise
    std::vector<Block> blocks;               // canonical order: file, sheet, row
    std::array<TextPool, kTextFields> pools; // sorted bytewise
    std::vector<IntakeNote> notes;           // canonical order
    std::vector<RejectedRow> rejected;       // canonical order
    std::size_t rows = 0;                    // over all blocks
    // Sample IDs that stand in a workbook as numbers of more than 15 digits, which spreadsheets keep only in
    // part; sorted, each once.
    std::vector<std::string> number_ids;

    const TextPool& pool(TextField field) const { return pools[static_cast<std::size_t>(field)]; }
};

} // namespace thresh

// Cutting text into records and cells: RFC 4180 with LF, CRLF or CR ends, the straightforward way.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake {

// How the cells of a text are cut.
struct Dialect {
    char delimiter = ','; // '\n': none, one column
    char quote = '"';     // '\0': none
    friend bool operator==(const Dialect&, const Dialect&) = default;
};

// What the cell of a workbook is, beyond its text. Cells of text files are all `text`.
enum class SheetKind : std::uint8_t { text, number, date, uncomputed, doubtful_date };

struct CellText {
    std::string_view text; // without quotes, doubled quotes made single
    bool quoted = false;
    SheetKind kind = SheetKind::text;
    std::size_t begin = 0; // where the cell starts in the text, its quote included
};

struct Record {
    std::vector<CellText> cells;
    std::string_view raw;    // word for word, without the line end
    std::uint32_t line = 0;  // physical line (sheet row) on which it starts, from 1
    std::uint32_t lines = 1; // how many physical lines it takes
    std::size_t begin = 0;   // offsets in the text; `end` is behind the line end
    std::size_t end = 0;
    std::uint32_t unclosed = 0; // a quote that never closes opens at this character column (from 1); 0 = none
    bool overlong = false;      // that quote may close, but further down than is looked
    bool stray_quote = false;   // a quote inside an unquoted cell, or text behind a closing quote
    bool of_sheet = false;      // a workbook's row: it has no width of its own, so it cannot be too short

    bool blank() const;
    std::string unclosed_reason() const; // what is wrong with its quote, as a sentence
};

// A quoted cell longer than this is taken for a quote that was never closed.
inline constexpr std::uint32_t kMaxQuotedLines = 200;
inline constexpr std::size_t kMaxQuotedBytes = 256 * 1024;
// A line longer than this is no record of a table.
inline constexpr std::size_t kMaxRecordBytes = 16 * 1024 * 1024;

class RecordCutter {
  public:
    // `text` must outlive the cutter. `last`: the text ends here, so that a record without line end counts.
    RecordCutter(std::string_view text, Dialect dialect, bool last = true, std::size_t from = 0,
                 std::uint32_t line = 1)
        : text_(text), dialect_(dialect), last_(last), at_(from), line_(line) {}

    // The next record; false when none is left or the rest of a text that goes on (`last` false) holds no
    // whole one. Views are valid until the next call.
    bool next(Record& record);

    std::size_t position() const { return at_; } // where the next record starts
    std::uint32_t line() const { return line_; }

  private:
    enum class Cut : std::uint8_t { done, incomplete, unclosed, overlong };
    Cut cut(Record& record, char quote);
    Cut quoted_cell(Record& record, std::size_t& at);
    bool end_of_line(std::size_t& at, bool& incomplete) const;

    std::string_view text_;
    Dialect dialect_;
    bool last_;
    std::size_t at_;
    std::uint32_t line_;
    std::deque<std::string> unescaped_; // cells that are not verbatim in the text
};

} // namespace thresh::intake

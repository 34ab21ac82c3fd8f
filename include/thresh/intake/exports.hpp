// Reading exports: bytes in, blocks of readings out. Judges no value.
#pragma once

#include <thresh/core/column_rule.hpp>
#include <thresh/core/readings.hpp>
#include <thresh/intake/byte_source.hpp>

#include <optional>
#include <string>
#include <vector>

namespace thresh::intake {

enum class DateFormat : std::uint8_t { iso, dmy, mdy, ymd, serial1900, serial1904 };

using thresh::BelowLimit;
using thresh::ColumnRule;

struct ExportOptions {
    std::vector<ColumnRule> columns; // first match wins, before the built-in headings
    std::vector<std::string> ignore; // headings (patterns) to leave out without a word
    // Overrides, one for each thing that is detected; set = given, never overridden by detection.
    std::optional<char> delimiter;
    std::optional<char> decimal;
    std::optional<std::string> encoding;
    std::optional<std::uint32_t> header_row; // physical line / sheet row of the (first) heading row
    std::optional<DateFormat> date_format;
    std::optional<std::string> sheet;
    std::optional<Basis> assume_basis; // for parts of the sample whose heading states none
    bool keep_unknown = false;         // reserved for readings --as-read
    unsigned threads = 1;
};

// Reads every input, in canonical order (source bytewise, sheet, row). An input that cannot be read or
// understood is refused with its reason in `files[i].refusal`; the others go on. The result does not depend
// on `threads` nor on the order of `inputs`. `table` must outlive nothing: only ids are kept.
Readings read_exports(std::vector<Input> inputs, const ConstituentTable& table, const ExportOptions& options);

// How a heading is understood: name, unit, part of and basis cut apart. Exposed for lists and `inspect`.
struct HeadingMeaning {
    std::optional<ConstituentId> constituent;
    std::optional<TextField> field;
    bool time = false;
    PartOf part_of = PartOf::sample;
    Basis basis;
    std::string unit;           // as written
    int unit_shift = 0;         // decimals to add to get percent: g/kg and mg/g 1, % 0
    bool unit_known = true;     // false: something stands beside the name that is no unit we know
    bool part_stated = false;   // by heading or rules, not the constituent's default
    bool by_rules = false;      // a ColumnRule matched
    bool unit_by_rules = false; // its `unit` settled the unit
    bool basis_by_rules = false;
    bool basis_doubtful = false; // two bases that contradict each other, or a percentage of what is not said

    bool known() const { return constituent || field || time; }
};
HeadingMeaning understand_heading(std::string_view heading, const ConstituentTable& table,
                                  const std::vector<ColumnRule>& columns);

// The record that starts at a physical line, as decoded text without line end, for messages with a caret:
// also the place of one column in it. Empty when the line cannot be had again, or the file is above 64 MiB.
struct RecordText {
    std::string line; // the physical line on which the cell starts
    std::uint32_t line_number = 0;
    std::uint32_t column = 0; // 1-based display column of the cell's first character, 0 = whole line
    std::uint32_t width = 0;  // of the cell in characters
};
RecordText record_text(const Input& input, const SourceFile& file, std::uint32_t line,
                       std::optional<std::uint32_t> position);

} // namespace thresh::intake

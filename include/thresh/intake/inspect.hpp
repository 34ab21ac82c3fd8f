// How one input was understood: every decision, what it beat, and the option that pins it.
#pragma once

#include <thresh/core/readings.hpp>
#include <thresh/intake/exports.hpp>

#include <string>
#include <vector>

namespace thresh::intake {

struct Decision {
    std::string what;      // encoding, line ends, sheet, delimiter, quote, heading row, decimal mark, ...
    std::string sheet;     // of a workbook, where it matters
    std::string chosen;    // empty: undecided
    bool given = false;    // by the user; otherwise found
    std::string why;       // what it was found by, in a few words
    double margin = 1;     // 0 = as good as the runner-up, 1 = nothing came near
    std::string runner_up; // empty: there was none
    std::string option;    // that pins what was chosen (or settles what is undecided)
};

// What one column of a table was taken for.
struct ColumnMeaning {
    std::uint32_t position = 0; // from 0
    std::string heading;
    std::string meaning; // name of the constituent or field, `time`; empty: unknown or not used
    std::string unit, part_of, basis, decimal;
    bool basis_assumed = false; // no heading states it
    std::string rules;          // rules-file entry that pins it
    // Of a constituent: what its cells hold, and the first that could not be read.
    std::size_t numbers = 0, missing = 0, below_limit = 0, unreadable = 0, open = 0;
    std::uint32_t unreadable_line = 0;
    std::string unreadable_text;
};

struct TableInspection {
    std::string sheet;
    std::uint32_t heading_line = 0;
    std::size_t unit_rows = 0; // below the heading
    std::size_t readings = 0;
    std::vector<ColumnMeaning> columns;
};

struct Inspection {
    SourceFile file;
    std::vector<Decision> decisions;
    std::vector<TableInspection> tables;
    std::vector<IntakeNote> notes;
    std::vector<RejectedRow> rejected; // the first ten
    std::string options;               // all options that pin the decisions, as one would type them
    std::string rules;                 // what pins the columns in a rules file: "columns": { ... }
};

// Reads the input as read_exports does and says what was decided. Never fails: a refusal is in `file`.
Inspection inspect(const Input& input, const ConstituentTable& table, const ExportOptions& options);

// `sample`, `oil`, `protein`, or empty for none.
std::string to_text(PartOf part_of);

} // namespace thresh::intake

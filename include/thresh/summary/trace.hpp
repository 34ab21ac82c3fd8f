// Every reading, cell, moisture, factor and exclusion behind one number of a line.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/sample_means.hpp>

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace thresh::summary {

// A reading of the line. Derived constituents have no cell, number as read or factor of their own.
struct TracedReading {
    RowId row = kNone;
    std::string cell; // week32.csv:14:3, week32.xlsx[Sheet1]!C14
    Time time;
    Verdict verdict = Verdict::use;
    Mark mark = Mark::use;
    bool used = false;
    std::optional<double> as_read, moisture, factor, value; // value = as_read * factor, then adjusted
    std::string adjustment;                                 // how the rules correct it; empty: they do not
    std::string basis_as_read;                              // as-is where none was stated
    std::string findings;                                   // of the reading and of this value
    std::string why_not;                                    // in words, when the value is not used
};
struct TracedSample {
    std::string id;
    std::vector<TracedReading> readings; // canonical order
    std::uint32_t n = 0;
    double mean = 0; // of the used values; NaN for n = 0
};
struct TracedPlot {
    std::string label; // environment, rep, block, plot; the sample where the list has no plots
    std::vector<TracedSample> samples;
    std::uint32_t n = 0; // samples with a mean
    double mean = 0;
};

// One constituent of one line in one material. The means are those of `lines`, bit for bit.
struct Trace {
    std::string material, trial, line, constituent, unit, basis, formula; // formula: of derived constituents
    std::vector<TracedPlot> plots;
    std::uint32_t n = 0; // plots with a mean
    double mean = 0, sd = 0, se = 0;
};

// One for each material and trial in which the line stands; a ratio gives the traces of its inputs.
// Errors: a line or constituent that the season does not have (nearest named).
Result<std::vector<Trace>> trace(const SampleMeans& means, const std::string& line,
                                 const std::string& constituent);

// For people: the arithmetic step by step, every number with all its digits.
std::string trace_text(const std::vector<Trace>& traces);
// One row a reading.
std::unique_ptr<Table> trace_table(const std::vector<Trace>& traces);

} // namespace thresh::summary

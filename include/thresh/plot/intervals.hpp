// Estimates with their confidence intervals, one a row, against a line of no effect: biases of constituents,
// offsets of sessions, differences to a check.
#pragma once

#include <thresh/plot/figure.hpp>

#include <optional>

namespace thresh::plot {

struct IntervalRow {
    std::string name;
    double value = 0;
    std::optional<double> low, high; // ends of the interval, low <= value <= high; both or none
    std::string remark;              // one line for the tooltip and the table; may be empty
};

struct Intervals {
    Quantity quantity;
    std::string interval_name; // "95 % confidence interval"
    std::string row_name;      // heading of the names in the table: "constituent"
    std::vector<IntervalRow> rows;
    double line = 0;       // intervals that do not hold it are marked: low below it, high above it
    std::string line_name; // "no bias"
};

inline constexpr std::size_t kMostIntervalRows = 60;

// Of more rows the first are drawn and the note counts the rest. None without a finite value.
std::optional<Figure> intervals(const Frame& frame, const Intervals& data);

} // namespace thresh::plot

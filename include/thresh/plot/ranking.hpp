// Rows in order, each with its mean and an error bar: which lines lead, and how sure that is.
#pragma once

#include <thresh/plot/figure.hpp>

#include <optional>

namespace thresh::plot {

struct RankedRow {
    std::string name;
    double value = 0;
    std::optional<double> error; // half width of the bar, >= 0; none is drawn without it
    bool check = false;          // a check variety: diamond, name in bold
    bool provisional = false;    // of values that are all excluded: hollow
    bool flagged = false;        // an open finding: exclamation mark behind the value
    std::string remark;          // one line for the tooltip and the table; may be empty
};

struct Ranking {
    Quantity quantity;
    std::string error_name;       // "standard error"; needed when a row has an error
    std::string row_name;         // heading of the names in the table: "line"
    std::vector<RankedRow> rows;  // in the order to be shown, first on top
    std::optional<double> cutoff; // a vertical line; its name in `cutoff_name`
    std::string cutoff_name;
};

inline constexpr std::size_t kMostRankedRows = 100;

// Of more rows than kMostRankedRows the first are drawn, and of the rest the checks (at most ten of them);
// the note counts those that are not. None without a row that has a finite value.
std::optional<Figure> ranking(const Frame& frame, const Ranking& data);

} // namespace thresh::plot

// Points on two axes with lines and bands: the body of scatter, agreement and difference plots.
#pragma once

#include "plot/legend.hpp"

#include <optional>
#include <string>
#include <thresh/plot/scatter.hpp>
#include <vector>

namespace thresh::plot {

struct XyLine {
    double intercept = 0, slope = 0; // y = intercept + slope * x
    std::string classes, attributes, name;
};

struct XyBand {
    double low = 0, high = 0; // of y, over the whole width
    std::string name;
};

struct Xy {
    Quantity x, y;
    std::string point_name;
    std::vector<ScatterGroup> groups;
    std::vector<XyLine> lines;
    std::vector<XyBand> bands;
    bool same_scale = false;     // one range and one length for both axes
    bool lines_in_range = false; // flat lines and bands widen the y axis so that all are seen
    std::string facts;           // sentences that stand before those on points
};

std::optional<Figure> draw_xy(const Frame& frame, const Xy& data);

// Squares in place of points: the area in so many columns and rows, the count of each cell that holds any.
struct Cell {
    int column = 0, row = 0;
    std::size_t count = 0;
};
inline constexpr int kCellColumns = 28, kCellRows = 20;
struct CellGrid {
    double x_low = 0, x_high = 1, y_low = 0, y_high = 1;
    double x_edge(int column) const;
    double y_edge(int row) const;
    // By row, then column. Every drawable point is counted once; those outside count to the nearest cell.
    std::vector<Cell> count(const std::vector<const ScatterPoint*>& points) const;
};

} // namespace thresh::plot

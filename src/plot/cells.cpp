// Equal cells over the axes' own range, so that their edges stay where the eye expects them.
#include "plot/xy.hpp"

#include <algorithm>
#include <cmath>

namespace thresh::plot {

double CellGrid::x_edge(int column) const {
    return x_low + (x_high - x_low) * column / kCellColumns;
}

double CellGrid::y_edge(int row) const {
    return y_low + (y_high - y_low) * row / kCellRows;
}

std::vector<Cell> CellGrid::count(const std::vector<const ScatterPoint*>& points) const {
    std::vector<std::size_t> counts(static_cast<std::size_t>(kCellColumns) * kCellRows);
    const auto index = [](double value, double low, double high, int cells) {
        const double at = std::floor((value - low) / (high - low) * cells);
        return static_cast<int>(std::clamp(at, 0.0, static_cast<double>(cells - 1)));
    };
    for (const ScatterPoint* point : points) {
        const int column = index(point->x, x_low, x_high, kCellColumns);
        const int row = index(point->y, y_low, y_high, kCellRows);
        ++counts[static_cast<std::size_t>(row * kCellColumns + column)];
    }
    std::vector<Cell> cells;
    for (int row = 0; row < kCellRows; ++row)
        for (int column = 0; column < kCellColumns; ++column)
            if (const auto count = counts[static_cast<std::size_t>(row * kCellColumns + column)]; count > 0)
                cells.push_back({column, row, count});
    return cells;
}

} // namespace thresh::plot

// Points of one quantity against another, in groups.
#pragma once

#include <thresh/plot/figure.hpp>

#include <optional>

namespace thresh::plot {

// Shape and colour of a group's points: each differs from the others in both.
enum class Mark : unsigned char { circle, check, square, cross, plus, ring, low, high };

struct ScatterPoint {
    double x = 0, y = 0;
    std::string name; // tooltip, and label where the group is labelled
};

struct ScatterGroup {
    std::string name; // in the legend
    Mark mark = Mark::circle;
    bool labelled = false; // names beside the points, where they fit without touching another label
    std::vector<ScatterPoint> points;
};

struct Scatter {
    Quantity x, y;
    std::string point_name;           // heading of the names in the table: "line"
    std::vector<ScatterGroup> groups; // drawn in order, the last on top
};

// Above kMostPoints points in all, unlabelled groups are drawn as one field of cells, darker with more
// points; labelled groups (checks) stay points. The table then holds the squares. None without a finite
// point.
std::optional<Figure> scatter(const Frame& frame, const Scatter& data);

} // namespace thresh::plot

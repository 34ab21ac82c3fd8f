// Two ways of measuring the same samples: one against the other with the line of equality, and their
// difference against their mean with bias and limits.
#pragma once

#include <thresh/plot/figure.hpp>

#include <optional>

namespace thresh::plot {

struct MeasuredPair {
    double x = 0, y = 0;
    std::string name;
    bool outlying = false; // drawn as a cross
};

struct AgreementPlot {
    Quantity x, y;          // "NIR protein", "reference protein": one unit, one scale on both axes
    std::string point_name; // heading of the names in the table: "sample"
    std::vector<MeasuredPair> pairs;
    struct Line {
        double intercept = 0, slope = 1; // y = intercept + slope * x
    };
    std::optional<Line> line;
};

// None without a finite pair. Above kMostPoints pairs: squares as in a scatter.
std::optional<Figure> agreement_plot(const Frame& frame, const AgreementPlot& data);

struct DifferencePlot {
    Quantity quantity;           // of mean and difference: "protein", "%"
    std::string mean_name;       // "mean of NIR and reference"
    std::string difference_name; // "NIR - reference"
    std::string point_name;
    std::vector<MeasuredPair> pairs;           // the difference drawn is x - y
    std::optional<double> bias;                // horizontal line
    std::optional<double> bias_low, bias_high; // its confidence interval: a band
    std::optional<double> limit_low, limit_high;
    std::string limits_name; // "bias +- 2 SEP"; needed with limits
};

std::optional<Figure> difference_plot(const Frame& frame, const DifferencePlot& data);

} // namespace thresh::plot

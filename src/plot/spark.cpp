// The trace keeps to its own range, limits included; long series keep the lowest and highest of each run, so
// that no excursion is lost.
#include <thresh/plot/spark.hpp>

#include "plot/axis.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <vector>

namespace thresh::plot {

namespace {

constexpr std::size_t kMostRunsOfSpark = 100;
constexpr double kInside = 4; // px around the trace, for the marks

// Index and value of what is drawn, in order.
std::vector<std::pair<std::size_t, double>> kept(std::span<const double> values) {
    std::vector<std::pair<std::size_t, double>> points;
    const std::size_t runs = values.size() <= 2 * kMostRunsOfSpark ? values.size() : kMostRunsOfSpark;
    for (std::size_t run = 0; run < runs; ++run) {
        const std::size_t first = run * values.size() / runs, end = (run + 1) * values.size() / runs;
        std::optional<std::size_t> low, high;
        for (std::size_t i = first; i < end; ++i) {
            if (!drawable(values[i]))
                continue;
            if (!low || values[i] < values[*low])
                low = i;
            if (!high || values[i] > values[*high])
                high = i;
        }
        if (!low)
            continue;
        points.emplace_back(std::min(*low, *high), values[std::min(*low, *high)]);
        if (*low != *high)
            points.emplace_back(std::max(*low, *high), values[std::max(*low, *high)]);
    }
    return points;
}

} // namespace

std::string spark(const Spark& data) {
    const auto points = kept(data.values);
    if (points.size() < 2 || !drawable(data.width) || !drawable(data.height) || data.width <= 2 * kInside ||
        data.height <= 2 * kInside)
        return {};
    const std::optional<double> low = data.low && drawable(*data.low) ? data.low : std::nullopt;
    const std::optional<double> high = data.high && drawable(*data.high) ? data.high : std::nullopt;
    Range range;
    for (const auto& point : points)
        range.add(point.second);
    for (const auto& limit : {low, high})
        if (limit)
            range.add(*limit);
    if (range.high <= range.low) { // constant: in the middle
        range.low -= 1;
        range.high += 1;
    }
    const Scale y{range.low, range.high, data.height - kInside, kInside};
    const Scale x{0, static_cast<double>(data.values.size() - 1), kInside, data.width - kInside};
    Drawing body;
    if (low || high) {
        const double top = high ? y(*high) : 0, bottom = low ? y(*low) : data.height;
        body.rect(0, top, data.width, bottom - top, "band");
    }
    std::string trace;
    std::size_t before = 0;
    for (const auto& [i, value] : points) {
        bool gap = trace.empty();
        for (std::size_t k = before + 1; k < i && !gap; ++k)
            gap = !drawable(data.values[k]);
        trace += fmt::format("{}{} {}", gap ? 'M' : 'L', px(x(static_cast<double>(i))), px(y(value)));
        before = i;
    }
    body.path(trace, "trace");
    for (const auto& [i, value] : points) {
        const bool below = low && value < *low, above = high && value > *high;
        if (below || above)
            body.mark(below ? Mark::low : Mark::high, x(static_cast<double>(i)), y(value), 3, {},
                      below ? "low" : "high");
    }
    return body.bare("plot spark", data.width, data.height);
}

} // namespace thresh::plot

// Both plots are points with lines: the line of equality and the fitted one over equal axes; bias and limits
// over the mean of the pair (Bland and Altman's plot).
#include <thresh/plot/agreement.hpp>

#include "plot/text.hpp"
#include "plot/xy.hpp"

#include <cmath>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr std::string_view kDashed = " stroke-dasharray=\"6 4\"";
constexpr std::string_view kThick = " stroke-width=\"1.8\"";

// Pairs as points, the outlying ones apart.
std::vector<ScatterGroup> groups_of(const std::vector<MeasuredPair>& pairs, const std::string& point_name,
                                    bool difference) {
    std::vector<ScatterGroup> groups = {{point_name, Mark::circle, false, {}},
                                        {"outlying", Mark::cross, false, {}}};
    for (const MeasuredPair& pair : pairs) {
        ScatterPoint point{pair.x, pair.y, pair.name};
        if (difference)
            point = {pair.x / 2 + pair.y / 2, pair.x - pair.y, pair.name};
        groups[pair.outlying ? 1 : 0].points.push_back(point);
    }
    if (groups[1].points.empty())
        groups.pop_back();
    return groups;
}

} // namespace

std::optional<Figure> agreement_plot(const Frame& frame, const AgreementPlot& data) {
    Xy xy{data.x, data.y, data.point_name, groups_of(data.pairs, data.point_name, false), {}, {}, true,
          false,  {}};
    xy.lines.push_back({0, 1, "rule", std::string(kDashed), "line of equality"});
    if (data.line && drawable(data.line->slope) && drawable(data.line->intercept)) {
        const std::string name =
            fmt::format("fitted: {} {} {} x", number_text(data.line->intercept, 2),
                        data.line->slope < 0 ? "-" : "+", number_text(std::abs(data.line->slope), 3));
        xy.lines.push_back({data.line->intercept, data.line->slope, "edge", std::string(kThick), name});
        xy.facts = fmt::format("Line of equality and line {}.", name);
    }
    return draw_xy(frame, xy);
}

std::optional<Figure> difference_plot(const Frame& frame, const DifferencePlot& data) {
    const Quantity& quantity = data.quantity;
    Xy xy{{data.mean_name, quantity.unit, quantity.decimals},
          {data.difference_name, quantity.unit, quantity.decimals},
          data.point_name,
          groups_of(data.pairs, data.point_name, true),
          {},
          {},
          false,
          true,
          {}};
    xy.lines.push_back({0, 0, "axis", {}, ""});
    if (data.bias_low && data.bias_high && drawable(*data.bias_low) && drawable(*data.bias_high) &&
        *data.bias_low <= *data.bias_high)
        xy.bands.push_back({*data.bias_low, *data.bias_high, "confidence interval of the bias"});
    if (data.bias && drawable(*data.bias)) {
        const std::string name = "bias " + with_unit(*data.bias, quantity.decimals, quantity.unit);
        xy.lines.push_back({*data.bias, 0, "edge", std::string(kThick), name});
        xy.facts = name + ".";
    }
    bool named = false;
    for (const auto& limit : {data.limit_low, data.limit_high})
        if (limit && drawable(*limit)) {
            xy.lines.push_back({*limit, 0, "rule", std::string(kDashed), named ? "" : data.limits_name});
            named = true;
        }
    if (named && data.limit_low && data.limit_high && drawable(*data.limit_low) && drawable(*data.limit_high))
        xy.facts += fmt::format("{}{} from {} to {}.", xy.facts.empty() ? "" : " ", data.limits_name,
                                number_text(*data.limit_low, quantity.decimals),
                                with_unit(*data.limit_high, quantity.decimals, quantity.unit));
    return draw_xy(frame, xy);
}

} // namespace thresh::plot

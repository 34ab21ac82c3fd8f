// Block elements stand on one base line, so the centre of a chart lies between the fourth and fifth height.
#include "summary/text_chart.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace thresh::summary {

namespace {

constexpr std::size_t kPoints = 20;
constexpr int kHalf = 10; // of an interval chart, in characters
constexpr std::array<std::string_view, 8> kHeights = {"▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};

} // namespace

std::string run_chart(std::span<const double> values, double low, double high) {
    std::string text;
    const std::size_t first = values.size() > kPoints ? values.size() - kPoints : 0;
    if (first > 0)
        text += "…";
    for (const double value : values.subspan(first)) {
        if (value > high) {
            text += "▲";
        } else if (value < low) {
            text += "▼";
        } else {
            const double share = (value - low) / (high - low);
            text += kHeights[std::min<std::size_t>(7, static_cast<std::size_t>(share * 8))];
        }
    }
    return text;
}

std::string interval_chart(double low, double estimate, double high, double reach) {
    const auto place = [&](double value) {
        return static_cast<int>(std::lround(std::clamp(value / reach, -1.0, 1.0) * kHalf)) + kHalf;
    };
    std::string text(2 * kHalf + 1, ' ');
    for (int i = place(low); i <= place(high); ++i)
        text[static_cast<std::size_t>(i)] = '-';
    text[kHalf] = '|';
    text[static_cast<std::size_t>(place(estimate))] = 'o';
    return text;
}

} // namespace thresh::summary

// Bars outside the window are hatched and coloured, so that black-and-white print shows them too; a bin that
// straddles an end of the window is plain, as it holds both.
#include <thresh/plot/histogram.hpp>

#include "plot/axis.hpp"
#include "plot/legend.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr std::size_t kMostBins = 120;

// Neighbours joined until there is room for a bar each.
Histogram joined(const Histogram& data) {
    Histogram fewer = data;
    const std::size_t by = (data.counts.size() + kMostBins - 1) / kMostBins;
    if (by <= 1)
        return fewer;
    fewer.step = data.step * static_cast<double>(by);
    fewer.counts.assign((data.counts.size() + by - 1) / by, 0);
    for (std::size_t i = 0; i < data.counts.size(); ++i)
        fewer.counts[i / by] += data.counts[i];
    return fewer;
}

struct Bins {
    const Histogram& data;
    double from(std::size_t i) const { return data.first + data.step * static_cast<double>(i); }
    double to(std::size_t i) const { return from(i + 1); }
    // A bin ends below its upper end; a hair of the step covers the rounding of the ends.
    bool below(std::size_t i) const { return data.low && to(i) <= *data.low + data.step * 1e-9; }
    bool above(std::size_t i) const { return data.high && from(i) > *data.high - data.step * 1e-9; }
    std::string words(std::size_t i) const {
        return fmt::format("{} to {}", number_text(from(i), decimals()), number_text(to(i), decimals()));
    }
    // The quantity's own, and more where the step needs them.
    int decimals() const {
        return std::max(data.quantity.decimals, static_cast<int>(-std::floor(std::log10(data.step) + 1e-9)));
    }
};

// The unit stands at the axis.
std::string window_words(const Histogram& data) {
    const int decimals = data.quantity.decimals;
    std::string words = data.window_name;
    if (data.low && data.high)
        words +=
            fmt::format(" {} to {}", number_text(*data.low, decimals), number_text(*data.high, decimals));
    else if (data.low)
        words += " from " + number_text(*data.low, decimals);
    else if (data.high)
        words += " up to " + number_text(*data.high, decimals);
    return words;
}

void draw_hatch(Drawing& drawing, std::string_view id, std::string_view which, std::string_view lines) {
    drawing.raw(
        fmt::format("<pattern id=\"{0}-{1}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">"
                    "<rect width=\"6\" height=\"6\" class=\"hatch-{1}\" stroke-width=\"0\"/>"
                    "<path d=\"{2}\" class=\"hatch-{1}\" stroke-width=\"1.5\"/></pattern>\n",
                    escape(id), which, lines));
}

void draw_bars(Drawing& drawing, const Frame& frame, const Bins& bins, const Scale& across, const Scale& up) {
    for (std::size_t i = 0; i < bins.data.counts.size(); ++i) {
        if (bins.data.counts[i] == 0)
            continue;
        const bool below = bins.below(i), above = bins.above(i);
        const double left = across(bins.from(i)), right = across(bins.to(i));
        const double top = up(static_cast<double>(bins.data.counts[i]));
        const std::string title =
            fmt::format("{}: {} {}{}", bins.words(i), bins.data.counts[i], bins.data.counted,
                        below   ? ", below the window"
                        : above ? ", above the window"
                                : "");
        // The class gives the outline, the pattern the inside: an attribute on the shape itself would lose
        // against the class, so the fill comes from a class-free rectangle below.
        if (below || above) {
            drawing.raw(fmt::format("<g fill=\"url(#{}-{})\">", escape(frame.id), below ? "low" : "high"));
            drawing.rect(left, top, right - left, up.from - top, {}, title);
            drawing.close_group();
            drawing.path(
                fmt::format("M{} {}V{}H{}V{}", px(left), px(up.from), px(top), px(right), px(up.from)),
                below ? "low" : "high", {}, " fill-opacity=\"0\"");
        } else {
            const double gap = std::min(0.5, (right - left) * 0.1); // on both sides, small beside the bar
            drawing.rect(left + gap, top, right - left - 2 * gap, up.from - top, "bar", title);
        }
    }
}

} // namespace

Histogram histogram_of(std::span<const double> values, const Quantity& quantity, std::optional<double> low,
                       std::optional<double> high) {
    Histogram data;
    data.quantity = quantity;
    data.low = low;
    data.high = high;
    Range range;
    std::size_t count = 0;
    for (const double value : values) {
        if (!drawable(value)) {
            ++data.not_finite;
            continue;
        }
        range.add(value);
        ++count;
        data.below += low && value < *low;
        data.above += high && value > *high;
    }
    if (count == 0)
        return data;
    const int wanted = static_cast<int>(std::clamp(std::sqrt(static_cast<double>(count)), 5.0, 30.0));
    const Ticks ticks = round_ticks(range, wanted + 1, quantity.decimals);
    data.first = ticks.low();
    data.step = ticks.step;
    data.counts.assign(static_cast<std::size_t>(ticks.last - ticks.first), 0);
    for (const double value : values) {
        if (!drawable(value))
            continue;
        // The last bin holds its upper end too: nothing lies beyond it.
        const double bin = std::floor((value - data.first) / data.step + 1e-9);
        const double last = static_cast<double>(data.counts.size() - 1);
        ++data.counts[static_cast<std::size_t>(std::clamp(bin, 0.0, last))];
    }
    return data;
}

std::optional<Figure> histogram(const Frame& frame, const Histogram& given) {
    const Histogram data = joined(given);
    const std::size_t most =
        data.counts.empty() ? 0 : *std::max_element(data.counts.begin(), data.counts.end());
    const Bins bins{data};
    if (most == 0 || !drawable(data.first) || !drawable(data.step) || data.step <= 0 ||
        !drawable(bins.from(data.counts.size())))
        return std::nullopt;
    const double width = frame_width(frame);
    Range x, y;
    x.add(bins.from(0));
    x.add(bins.to(data.counts.size() - 1));
    // Few bars stand by themselves, not as one block as wide as the figure.
    if (data.counts.size() < 5) {
        x.add(bins.from(0) - data.step);
        x.add(bins.to(data.counts.size()));
    }
    for (const auto& end : {data.low, data.high})
        if (end)
            x.add(*end);
    y.add(0);
    y.add(static_cast<double>(most));
    const Ticks y_ticks = round_ticks(y, 6, 0, true);
    Area area{y_ticks.widest() + 14, kYLabelHeight, width - 12, kYLabelHeight + 200};
    const Ticks x_ticks = ticks_across(x, area.right - area.left, data.quantity.decimals);
    area.left = std::max(area.left, x_ticks.widest() / 2 + 4);
    area.right = width - x_ticks.widest() / 2 - 4;
    const Scale across{x_ticks.low(), x_ticks.high(), area.left, area.right};
    const Scale up{y_ticks.low(), y_ticks.high(), area.bottom, area.top};

    Drawing drawing;
    draw_hatch(drawing, frame.id, "low", "M-1.5 1.5L1.5 -1.5M0 6L6 0M4.5 7.5L7.5 4.5");
    draw_hatch(drawing, frame.id, "high", "M-1.5 4.5L1.5 7.5M0 0L6 6M4.5 -1.5L7.5 1.5");
    std::vector<LegendEntry> legend;
    using Kind = LegendEntry::Kind;
    const bool low = data.low && drawable(*data.low), high = data.high && drawable(*data.high);
    if (low || high) {
        const double from = low ? across(*data.low) : area.left, to = high ? across(*data.high) : area.right;
        drawing.rect(from, area.top, to - from, area.bottom - area.top, "band");
        legend.push_back({Kind::swatch, {}, "band", {}, window_words(data), {}});
        if (low)
            legend.push_back({Kind::mark, Mark::low, "low", {}, fmt::format("{} below", data.below), {}});
        if (high)
            legend.push_back({Kind::mark, Mark::high, "high", {}, fmt::format("{} above", data.above), {}});
    }
    draw_x_axis(drawing, area, across, x_ticks, axis_label(data.quantity), width);
    draw_y_axis(drawing, area, up, y_ticks, data.counted, width);
    draw_bars(drawing, frame, bins, across, up);
    for (const auto& end : {data.low, data.high})
        if (end && drawable(*end))
            drawing.line(across(*end), area.top, across(*end), area.bottom, "edge", " stroke-width=\"1.5\"");
    const double legend_top = area.bottom + kXAxisHeight;
    const double height = legend_top + legend_height(legend, width);
    draw_legend(drawing, legend, legend_top, width);

    Figure figure;
    std::size_t total = 0;
    figure.table = {frame.title, {axis_label(data.quantity), data.counted}, {}};
    for (std::size_t i = 0; i < data.counts.size(); ++i) {
        total += data.counts[i];
        figure.table.rows.push_back({bins.words(i), fmt::format("{}", data.counts[i])});
    }
    if (data.not_finite > 0)
        figure.note =
            fmt::format("{} that cannot be drawn left out.", counted(data.not_finite, "value", "values"));
    std::string facts = fmt::format(
        "{} {}, between {} and {}.", total, data.counted, number_text(bins.from(0), bins.decimals()),
        with_unit(bins.to(data.counts.size() - 1), data.quantity.decimals, data.quantity.unit));
    if (low || high)
        facts += fmt::format(" {}: {} below, {} above.", window_words(data), data.below, data.above);
    if (!figure.note.empty())
        facts += " " + figure.note;
    figure.svg = drawing.finish(frame, width, height, facts);
    figure.width = width;
    figure.height = height;
    return figure;
}

} // namespace thresh::plot

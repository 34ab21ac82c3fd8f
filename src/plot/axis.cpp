// Steps of 1, 2 and 5 times a power of ten are tried from small to large until few enough ticks enclose the
// range. Tick values are whole multiples of the step, computed by one multiplication or division each, so
// that rounding cannot add up along the axis.
#include "plot/axis.hpp"

#include "plot/text.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace thresh::plot {

double Ticks::value(long long i) const {
    // A step below 1 is 1 / n of a whole number n: dividing gives the nearest double to the decimal.
    return step < 1 ? static_cast<double>(i) / std::round(1 / step) : static_cast<double>(i) * step;
}

std::string Ticks::text(long long i) const {
    return number_text(value(i), decimals);
}

double Ticks::widest() const {
    return std::max(text_width(text(first), kFont), text_width(text(last), kFont));
}

Ticks round_ticks(Range range, int most, int decimals, bool whole) {
    assert(!range.empty && most >= 2);
    const double size = std::max(std::abs(range.low), std::abs(range.high));
    const double least = std::max(5 * std::pow(10.0, -std::clamp(decimals, 0, 9)), size * 1e-9);
    if (range.high - range.low < least * 1e-3) {
        range.low -= least;
        range.high += least;
    }
    const double width = range.high - range.low;
    const int start = static_cast<int>(std::floor(std::log10(width / most)));
    for (int exponent = std::max(start, whole ? 0 : -9);; ++exponent)
        for (const int digit : {1, 2, 5}) {
            Ticks ticks;
            ticks.step = exponent < 0 ? digit / std::pow(10.0, -exponent) : digit * std::pow(10.0, exponent);
            ticks.decimals = std::max(0, -exponent);
            // A value on a tick, but for the rounding of its own computation, needs no tick beyond.
            ticks.first = static_cast<long long>(std::floor(range.low / ticks.step + 1e-6));
            ticks.last = static_cast<long long>(std::ceil(range.high / ticks.step - 1e-6));
            if (ticks.last == ticks.first)
                ++ticks.last;
            if (ticks.last - ticks.first < most)
                return ticks;
        }
}

Ticks ticks_across(Range range, double width, int decimals, bool whole) {
    Ticks ticks = round_ticks(range, 8, decimals, whole);
    for (int most = 8; most > 2; --most) {
        ticks = round_ticks(range, most, decimals, whole);
        const double each = width / static_cast<double>(ticks.last - ticks.first);
        if (ticks.widest() + kFont <= each)
            break;
    }
    return ticks;
}

std::string axis_label(const Quantity& quantity) {
    return quantity.unit.empty() ? quantity.name : quantity.name + ", " + quantity.unit;
}

void draw_tick_texts(Drawing& drawing, const Scale& scale, const Ticks& ticks, double y,
                     double figure_width) {
    double end = -1e9;
    for (long long i = ticks.first; i <= ticks.last; ++i) {
        const std::string text = ticks.text(i);
        const double half = text_width(text, kFont) / 2;
        const double x =
            std::clamp(scale(ticks.value(i)), half + 1, std::max(half + 1, figure_width - half - 1));
        if (x - half < end)
            continue;
        drawing.text(x, y, text, figure_width, Drawing::Anchor::middle, "soft");
        end = x + half + 4;
    }
}

void draw_x_axis(Drawing& drawing, const Area& area, const Scale& scale, const Ticks& ticks,
                 std::string_view label, double figure_width) {
    for (long long i = ticks.first; i <= ticks.last; ++i) {
        const double x = scale(ticks.value(i));
        drawing.line(x, area.top, x, area.bottom, "grid");
        drawing.line(x, area.bottom, x, area.bottom + 4, "axis");
    }
    draw_tick_texts(drawing, scale, ticks, area.bottom + 18, figure_width);
    drawing.line(area.left, area.bottom, area.right, area.bottom, "axis");
    // Centred below the area; a long one about the middle of the figure, where it has more room.
    const double own = text_width(clean(label), kFont);
    const double middle = (area.left + area.right) / 2;
    const double room = 2 * std::min(middle, figure_width - middle) - 4;
    drawing.text(own <= room ? middle : figure_width / 2, area.bottom + 38, label, figure_width - 4,
                 Drawing::Anchor::middle);
}

void draw_y_axis(Drawing& drawing, const Area& area, const Scale& scale, const Ticks& ticks,
                 std::string_view label, double figure_width) {
    for (long long i = ticks.first; i <= ticks.last; ++i) {
        const double y = scale(ticks.value(i));
        drawing.line(area.left, y, area.right, y, "grid");
        drawing.text(area.left - 6, y + 5, ticks.text(i), figure_width, Drawing::Anchor::end, "soft");
    }
    drawing.line(area.left, area.top, area.left, area.bottom, "axis");
    if (!label.empty())
        drawing.text(4, area.top - 14, label, figure_width - 8);
}

} // namespace thresh::plot

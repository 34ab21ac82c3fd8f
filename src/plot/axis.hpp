// Round ticks and the axes that carry them.
#pragma once

#include "plot/drawing.hpp"

#include <string>

namespace thresh::plot {

// Lowest and highest of what a figure holds; empty until the first drawable value.
struct Range {
    double low = 0, high = 0;
    bool empty = true;
    void add(double value) {
        if (!drawable(value))
            return;
        low = empty || value < low ? value : low;
        high = empty || value > high ? value : high;
        empty = false;
    }
};

// Ticks first * step ... last * step, the step 1, 2 or 5 times a power of ten. They enclose the range, so
// that nothing lies outside.
struct Ticks {
    double step = 1;
    long long first = 0, last = 1;
    int decimals = 0;
    double value(long long i) const;
    std::string text(long long i) const;
    double low() const { return value(first); }
    double high() const { return value(last); }
    double widest() const; // px of the widest text
};
// At most `most` (>= 2) ticks; with `whole` no step below 1. A range without width is widened about its
// value: by 5 of its last shown decimal. Precondition: the range is not empty.
Ticks round_ticks(Range range, int most, int decimals, bool whole = false);
// At most so many ticks as have room beside each other on so many px, but at least two.
Ticks ticks_across(Range range, double width, int decimals, bool whole = false);

struct Area {
    double left = 0, top = 0, right = 0, bottom = 0;
};

// From value to px.
struct Scale {
    double low = 0, high = 1, from = 0, to = 1;
    double operator()(double value) const { return from + (value - low) / (high - low) * (to - from); }
};

// "protein, %"; only the name without a unit.
std::string axis_label(const Quantity& quantity);

// Tick texts about the height y; one that would touch the one before is left out.
void draw_tick_texts(Drawing& drawing, const Scale& scale, const Ticks& ticks, double y, double figure_width);
// Grid, tick texts and the label: below the area, centred; above it, at the left end.
void draw_x_axis(Drawing& drawing, const Area& area, const Scale& scale, const Ticks& ticks,
                 std::string_view label, double figure_width);
void draw_y_axis(Drawing& drawing, const Area& area, const Scale& scale, const Ticks& ticks,
                 std::string_view label, double figure_width);
inline constexpr double kXAxisHeight = 44;  // px below the area that draw_x_axis needs
inline constexpr double kYLabelHeight = 30; // px above the area that draw_y_axis needs

} // namespace thresh::plot

// Entries flow like words: as many in a row as fit, never a part of one in the next.
#include "plot/legend.hpp"

#include "plot/text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr double kMargin = 4, kSample = 24, kBetween = 16;

double entry_width(const LegendEntry& entry, double width) {
    return std::min(width - 2 * kMargin, kSample + text_width(clean(entry.text), kFont));
}

// Calls place(entry, x, row) for each and returns the number of rows.
template <typename Place>
int flow(const std::vector<LegendEntry>& entries, double width, Place place) {
    double x = kMargin;
    int row = 0;
    for (const LegendEntry& entry : entries) {
        const double own = entry_width(entry, width);
        if (x > kMargin && x + own > width - kMargin) {
            x = kMargin;
            ++row;
        }
        place(entry, x, row);
        x += own + kBetween;
    }
    return entries.empty() ? 0 : row + 1;
}

} // namespace

double legend_height(const std::vector<LegendEntry>& entries, double width) {
    const int rows = flow(entries, width, [](const LegendEntry&, double, int) {});
    return rows == 0 ? 0 : rows * kLineHeight + 6;
}

void draw_legend(Drawing& drawing, const std::vector<LegendEntry>& entries, double top, double width) {
    flow(entries, width, [&](const LegendEntry& entry, double x, int row) {
        const double middle = top + row * kLineHeight + kLineHeight / 2;
        switch (entry.kind) {
        case LegendEntry::Kind::mark:
            drawing.mark(entry.mark, x + 9, middle, 5, {}, entry.classes);
            break;
        case LegendEntry::Kind::line:
            drawing.line(x, middle, x + 18, middle, entry.classes, entry.attributes);
            break;
        case LegendEntry::Kind::swatch:
            drawing.rect(x, middle - 7, 18, 14, entry.classes, {}, entry.attributes);
            break;
        case LegendEntry::Kind::sign:
            drawing.text(x + 9, middle + 5, entry.sign, kSample, Drawing::Anchor::middle, {},
                         " font-weight=\"bold\"");
            break;
        }
        drawing.text(x + kSample, middle + 5, entry.text, entry_width(entry, width) - kSample + 1);
    });
}

} // namespace thresh::plot

// First come, first placed, and of equal places the first one: the order of the points decides, so the same
// input gives the same picture.
#include "plot/labels.hpp"

#include "plot/text.hpp"

#include <algorithm>
#include <array>

namespace thresh::plot {

namespace {

struct Box {
    double left, top, right, bottom;
    bool touches(const Box& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
};

constexpr double kAway = 9, kMostWidth = 150;

} // namespace

std::size_t draw_labels(Drawing& drawing, const std::vector<PointLabel>& labels,
                        const std::vector<std::pair<double, double>>& others, const Area& area) {
    std::vector<Box> taken;
    for (const PointLabel& label : labels)
        taken.push_back({label.x - 6, label.y - 6, label.x + 6, label.y + 6});
    std::size_t unplaced = 0;
    for (const PointLabel& label : labels) {
        const std::string shown = shorten(label.text, kMostWidth, kFont);
        const double width = text_width(shown, kFont);
        const auto beside = [&](double left, double middle) {
            return Box{left, middle - 8, left + width, middle + 8};
        };
        const double right = label.x + kAway, left = label.x - kAway - width, centred = label.x - width / 2;
        const std::array<Box, 8> places = {beside(right, label.y),          beside(left, label.y),
                                           beside(centred, label.y - 16),   beside(centred, label.y + 16),
                                           beside(right - 4, label.y - 13), beside(right - 4, label.y + 13),
                                           beside(left + 4, label.y - 13),  beside(left + 4, label.y + 13)};
        const auto free = [&](const Box& box) {
            return box.left >= area.left + 2 && box.right <= area.right && box.top >= area.top &&
                   box.bottom <= area.bottom &&
                   std::none_of(taken.begin(), taken.end(),
                                [&](const Box& other) { return box.touches(other); });
        };
        const Box* best = nullptr;
        std::ptrdiff_t fewest = 0;
        for (const Box& box : places) {
            if (!free(box))
                continue;
            const auto covered = std::count_if(others.begin(), others.end(), [&](const auto& other) {
                return box.touches({other.first - 3, other.second - 3, other.first + 3, other.second + 3});
            });
            if (best == nullptr || covered < fewest) {
                best = &box;
                fewest = covered;
            }
        }
        if (best == nullptr) {
            ++unplaced;
            continue;
        }
        taken.push_back(*best);
        drawing.text((best->left + best->right) / 2, best->bottom - 3, label.text, kMostWidth,
                     Drawing::Anchor::middle, "halo");
    }
    return unplaced;
}

} // namespace thresh::plot

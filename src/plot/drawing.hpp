// Builds the text of one <svg>: elements, escaped text, marks. Coordinates are px, y downwards.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <thresh/plot/figure.hpp>
#include <thresh/plot/scatter.hpp>

namespace thresh::plot {

inline constexpr double kFont = 14; // px
inline constexpr double kLineHeight = 20;

// Whether a value has a place in a figure: finite, and not so large that digits would be lost.
bool drawable(double value);

// px with at most two decimals, the shortest text. Precondition: drawable.
std::string px(double value);

// The class of a mark's colour, and its word in a class attribute: "circle", "check", ...
std::string_view class_of(Mark mark);

class Drawing {
  public:
    enum class Anchor : unsigned char { start, middle, end };

    void open_group(std::string_view classes, std::string_view attributes = {});
    void close_group();
    // `title`: tooltip, raw text; none when empty. `attributes`: ready-made, with a leading blank.
    void line(double x1, double y1, double x2, double y2, std::string_view classes,
              std::string_view attributes = {});
    void rect(double x, double y, double width, double height, std::string_view classes,
              std::string_view title = {}, std::string_view attributes = {});
    void path(std::string_view d, std::string_view classes, std::string_view title = {},
              std::string_view attributes = {});
    // Shortened to `width`; then the whole is its tooltip.
    void text(double x, double y, std::string_view text, double width, Anchor anchor = Anchor::start,
              std::string_view classes = {}, std::string_view attributes = {});
    // Centre and half size; inside a group of class class_of(mark), or with `classes`.
    void mark(Mark mark, double x, double y, double size, std::string_view title = {},
              std::string_view classes = {});
    void raw(std::string_view markup) { body_ += markup; }

    // The whole element. `facts` stand behind the frame's own description.
    std::string finish(const Frame& frame, double width, double height, std::string_view facts) const;

    // A small picture that screen readers pass over.
    std::string bare(std::string_view classes, double width, double height) const;

  private:
    void end(std::string_view element, std::string_view title);
    std::string body_;
};

// The frame's width, within what figures are made for.
double frame_width(const Frame& frame);

} // namespace thresh::plot

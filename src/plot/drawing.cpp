// Only presentation attributes and classes, no style attribute: the page's content security policy forbids
// it.
#include "plot/drawing.hpp"

#include "plot/text.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <fmt/format.h>

namespace thresh::plot {

bool drawable(double value) {
    return std::isfinite(value) && std::abs(value) <= 1e12;
}

std::string px(double value) {
    assert(drawable(value));
    std::string text = number_text(value, 2);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.')
        text.pop_back();
    return text;
}

std::string_view class_of(Mark mark) {
    switch (mark) {
    case Mark::circle:
        return "circle";
    case Mark::check:
        return "check";
    case Mark::square:
        return "square";
    case Mark::cross:
        return "cross";
    case Mark::plus:
        return "plus";
    case Mark::ring:
        return "ring";
    case Mark::low:
        return "low";
    case Mark::high:
        return "high";
    }
    return "circle";
}

double frame_width(const Frame& frame) {
    return std::isfinite(frame.width) ? std::clamp(std::round(frame.width), 320.0, 1200.0) : 460.0;
}

namespace {

std::string class_attribute(std::string_view classes) {
    return classes.empty() ? std::string() : fmt::format(" class=\"{}\"", classes);
}

std::string shape_path(Mark mark, double x, double y, double r) {
    const double wide = r * 1.15;
    switch (mark) {
    case Mark::check:
        return fmt::format("M{} {}L{} {}L{} {}L{} {}Z", px(x), px(y - r * 1.3), px(x + r * 1.3), px(y), px(x),
                           px(y + r * 1.3), px(x - r * 1.3), px(y));
    case Mark::square:
        return fmt::format("M{} {}h{}v{}h{}Z", px(x - r * 0.9), px(y - r * 0.9), px(r * 1.8), px(r * 1.8),
                           px(-r * 1.8));
    case Mark::cross:
        return fmt::format("M{} {}l{} {}m0 {}l{} {}", px(x - r), px(y - r), px(2 * r), px(2 * r), px(-2 * r),
                           px(-2 * r), px(2 * r));
    case Mark::plus:
        return fmt::format("M{} {}h{}M{} {}v{}", px(x - wide), px(y), px(2 * wide), px(x), px(y - wide),
                           px(2 * wide));
    case Mark::low:
        return fmt::format("M{} {}h{}L{} {}Z", px(x - wide), px(y - r * 0.8), px(2 * wide), px(x),
                           px(y + r * 1.2));
    case Mark::high:
        return fmt::format("M{} {}h{}L{} {}Z", px(x - wide), px(y + r * 0.8), px(2 * wide), px(x),
                           px(y - r * 1.2));
    case Mark::circle:
    case Mark::ring:
        break;
    }
    return {};
}

} // namespace

void Drawing::open_group(std::string_view classes, std::string_view attributes) {
    body_ += fmt::format("<g{}{}>\n", class_attribute(classes), attributes);
}

void Drawing::close_group() {
    body_ += "</g>\n";
}

void Drawing::end(std::string_view element, std::string_view title) {
    if (title.empty())
        body_ += "/>\n";
    else
        body_ += fmt::format("><title>{}</title></{}>\n", escape(title), element);
}

void Drawing::line(double x1, double y1, double x2, double y2, std::string_view classes,
                   std::string_view attributes) {
    body_ += fmt::format("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"{}{}/>\n", px(x1), px(y1), px(x2),
                         px(y2), class_attribute(classes), attributes);
}

void Drawing::rect(double x, double y, double width, double height, std::string_view classes,
                   std::string_view title, std::string_view attributes) {
    body_ += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}{}", px(x), px(y),
                         px(std::max(0.0, width)), px(std::max(0.0, height)), class_attribute(classes),
                         attributes);
    end("rect", title);
}

void Drawing::path(std::string_view d, std::string_view classes, std::string_view title,
                   std::string_view attributes) {
    body_ += fmt::format("<path d=\"{}\"{}{}", d, class_attribute(classes), attributes);
    end("path", title);
}

void Drawing::text(double x, double y, std::string_view text, double width, Anchor anchor,
                   std::string_view classes, std::string_view attributes) {
    const std::string whole = clean(text);
    const std::string shown = shorten(whole, width, kFont);
    constexpr std::string_view anchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
    body_ += fmt::format("<text x=\"{}\" y=\"{}\"{}{}{}>{}", px(x), px(y),
                         anchors[static_cast<std::size_t>(anchor)], class_attribute(classes), attributes,
                         escape(shown));
    if (shown != whole)
        body_ += fmt::format("<title>{}</title>", escape(whole));
    body_ += "</text>\n";
}

void Drawing::mark(Mark mark, double x, double y, double size, std::string_view title,
                   std::string_view classes) {
    if (mark == Mark::circle || mark == Mark::ring) {
        body_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}", px(x), px(y), px(size),
                             class_attribute(classes));
        end("circle", title);
    } else {
        path(shape_path(mark, x, y, size), classes, title);
    }
}

std::string Drawing::bare(std::string_view classes, double width, double height) const {
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\"{0} aria-hidden=\"true\" width=\"{1}\" height=\"{2}\""
        " viewBox=\"0 0 {1} {2}\">\n{3}</svg>\n",
        class_attribute(classes), px(width), px(height), body_);
}

std::string Drawing::finish(const Frame& frame, double width, double height, std::string_view facts) const {
    std::string description = frame.description;
    if (!description.empty() && !facts.empty())
        description += ' ';
    description += facts;
    const std::string id = escape(frame.id);
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"plot\" role=\"img\" "
        "aria-labelledby=\"{0}-title\"{1}"
        " width=\"{2}\" height=\"{3}\" viewBox=\"0 0 {2} {3}\" font-family=\"system-ui, sans-serif\""
        " font-size=\"{4}\">\n<title id=\"{0}-title\">{5}</title>\n",
        id, description.empty() ? "" : fmt::format(" aria-describedby=\"{}-desc\"", id), px(width),
        px(height), px(kFont), escape(frame.title));
    if (!description.empty())
        svg += fmt::format("<desc id=\"{}-desc\">{}</desc>\n", id, escape(description));
    return svg + body_ + "</svg>\n";
}

} // namespace thresh::plot

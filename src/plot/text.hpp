// Text that may come from anywhere, made fit for an SVG.
#pragma once

#include <string>
#include <string_view>

namespace thresh::plot {

// px of a text of normal weight: never less than common fonts need, often a little more.
double text_width(std::string_view text, double font_size);

// Characters that XML knows: control characters and bytes that are no UTF-8 as U+FFFD, line ends and tabs as
// blanks; marks that turn the direction of text are left out.
std::string clean(std::string_view text);

// clean(), but with the marks of isolated() where they come in pairs, and the five characters of markup
// escaped: for element content and attribute values.
std::string escape(std::string_view text);

// As many whole characters (as people count them) as fit, and an ellipsis where that is not all.
std::string shorten(std::string_view text, double width, double font_size);

// clean(), between marks that keep its direction to itself where it holds right-to-left letters: for a name
// inside a sentence.
std::string isolated(std::string_view name);

// `value` with exactly so many decimals, never -0. Precondition: drawable(value).
std::string number_text(double value, int decimals);
// The same with its unit behind a blank.
std::string with_unit(double value, int decimals, std::string_view unit);

// "1 line", "2 lines": `many` is the plural.
std::string counted(std::size_t count, std::string_view one, std::string_view many);

} // namespace thresh::plot

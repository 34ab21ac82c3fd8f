// What every figure has in common: a static SVG text for a page, and the same numbers as a plain table.
//
// The SVG holds no script and no style attribute; its colours come from the classes of style_sheet(), so that
// a page shows it in light, in dark and in print. Shapes differ wherever colours do. It scales with its
// viewBox; `svg.plot` never grows wider than its place. All text is escaped, and shortened to its place with
// the whole in a tooltip. Values that are not finite or beyond 1e12 are left out and counted in the note. The
// same input gives the same bytes.
//
// A function that draws returns no figure when there is nothing to show, and the page says so in words.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace thresh::plot {

// Where a figure stands in the page.
struct Frame {
    // Unique in the page; ids inside the SVG begin with it. A letter, then letters, digits, `-` or `_`.
    std::string id;
    std::string title;       // what is shown: the name that a screen reader says
    std::string description; // what to see in it; sentences on what is drawn are added. May be empty
    double width = 460;      // px at which its text is 14 px high; 320 to 1200
};

// What an axis or a column of numbers holds.
struct Quantity {
    std::string name; // "protein"
    std::string unit; // "%", "nm", or empty
    int decimals = 2; // in tooltips and the table, 0 to 9; the axis takes what its steps need
};

// The numbers of a figure, for people who do not see it and for those who want to copy them.
struct DataTable {
    std::string heading;
    std::vector<std::string> columns;
    std::vector<std::vector<std::string>> rows; // plain text, not escaped; one cell a column
};

struct Figure {
    std::string svg; // one <svg> element
    DataTable table; // what is drawn, row by row; the bins where points are binned
    // Plain sentences on what is not as the reader expects (values left out, points binned); often empty.
    std::string note;
    double width = 0, height = 0; // px, as in the viewBox
};

// More points than this are drawn as bins, without a tooltip each.
inline constexpr std::size_t kMostPoints = 3000;

// The rules for the page's <style>: custom properties `--plot-...` for light, dark (prefers-color-scheme) and
// print, and the classes of the figures. Begins and ends without a blank line.
const std::string& style_sheet();

} // namespace thresh::plot

// The viewBox counts in modules, so that every bar has whole coordinates; width and height say the size in
// mm. Black on white is written into the elements, out of reach of the page's colours: scanners want it so.
#include <thresh/plot/barcode.hpp>

#include "plot/code128.hpp"
#include "plot/drawing.hpp"
#include "plot/text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::plot {

namespace {

constexpr unsigned kQuiet = 10;     // modules on both sides
constexpr double kTextMm = 3.2;     // height of the letters' body
constexpr double kMonospace = 0.62; // em

// Control characters as Unicode's pictures of them.
std::string readable(std::string_view text) {
    std::string shown;
    for (const char c : text)
        if (c == 127)
            shown += "\xE2\x90\xA1";
        else if (static_cast<unsigned char>(c) < 32)
            shown.append("\xE2\x90").append(1, static_cast<char>(0x80 + c));
        else
            shown += c;
    return shown;
}

} // namespace

Result<Barcode> code128(std::string_view text, const BarcodeStyle& style) {
    const auto symbols = code128_symbols(text);
    if (!symbols)
        return tl::unexpected(symbols.error());
    const double module = drawable(style.module_mm) ? std::clamp(style.module_mm, 0.05, 5.0) : 0.25;
    const double bar_mm = drawable(style.height_mm) ? std::clamp(style.height_mm, 1.0, 200.0) : 10.0;

    Barcode barcode;
    const double high = bar_mm / module;
    std::string bars;
    unsigned x = kQuiet;
    for (const int symbol : *symbols) {
        bool bar = true;
        for (const char width : bar_widths(symbol)) {
            const unsigned modules = static_cast<unsigned>(width - '0');
            if (bar)
                bars += fmt::format("M{} 0h{}V{}h-{}z", x, modules, px(high), modules);
            x += modules;
            bar = !bar;
        }
    }
    barcode.modules = x + kQuiet;
    const std::string shown = readable(text);
    double letters = 0, below = 0;
    if (style.text) {
        // As many characters as there are bytes in `text`: it is ASCII.
        const double fits = (barcode.modules - 4) / (kMonospace * static_cast<double>(text.size()));
        letters = std::min(kTextMm / module, fits);
        below = letters * 1.3;
    }
    barcode.width_mm = barcode.modules * module;
    barcode.height_mm = (high + below) * module;
    barcode.svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"barcode\" role=\"img\" aria-label=\"bar code {0}\""
        " width=\"{1}mm\" height=\"{2}mm\" viewBox=\"0 0 {3} {4}\">\n"
        "<rect width=\"{3}\" height=\"{4}\" fill=\"#fff\"/>\n<path d=\"{5}\" fill=\"#000\""
        " shape-rendering=\"crispEdges\"/>\n",
        escape(shown), px(barcode.width_mm), px(barcode.height_mm), barcode.modules, px(high + below), bars);
    if (style.text)
        barcode.svg +=
            fmt::format("<text x=\"{}\" y=\"{}\" font-family=\"monospace\" font-size=\"{}\" fill=\"#000\""
                        " text-anchor=\"middle\" xml:space=\"preserve\">{}</text>\n",
                        px(barcode.modules / 2.0), px(high + letters), px(letters), escape(shown));
    barcode.svg += "</svg>\n";
    return barcode;
}

} // namespace thresh::plot

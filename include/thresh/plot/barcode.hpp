// Bar codes for sample IDs: Code 128 (ISO/IEC 15417).
#pragma once

#include <string>
#include <string_view>
#include <thresh/core/result.hpp>
#include <vector>

namespace thresh::plot {

struct BarcodeStyle {
    double module_mm = 0.25; // width of the narrowest bar; 0.25 and more read well from office printers
    double height_mm = 10;   // of the bars
    bool text = true;        // the ID below the bars
};

struct Barcode {
    std::string svg; // width and height in mm; black on white in any colour scheme
    double width_mm = 0, height_mm = 0;
    unsigned modules = 0; // with the quiet zones of 10 modules on both sides
};

// The symbol characters of `text`: start, data and switches in the shortest encoding over the code sets A, B
// and C, the check symbol (modulo 103) and stop (106). Errors: an empty text, one of more than 80 characters
// (wider than a page), a character that is not in ASCII.
Result<std::vector<int>> code128_symbols(std::string_view text);

// The symbol drawn. Control characters are encoded, and shown below the bars as Unicode's pictures of them.
// Errors as above.
Result<Barcode> code128(std::string_view text, const BarcodeStyle& style = {});

} // namespace thresh::plot

// draw_barcodes FOLDER < IDS: one ID a line, its bytes as hexadecimal digits; writes FOLDER/0000.svg and so
// on, with bars of 0.25 mm a module as in print. What cannot be encoded is said on standard output: number,
// tab, message.
#include <cstdio>
#include <fmt/format.h>
#include <fstream>
#include <iostream>
#include <string>
#include <thresh/plot/barcode.hpp>

int main(int argc, char** argv) {
    if (argc != 2) {
        std::cerr << "usage: draw_barcodes FOLDER < IDS\n";
        return 2;
    }
    std::string line;
    for (int number = 0; std::getline(std::cin, line); ++number) {
        std::string id;
        for (std::size_t i = 0; i + 1 < line.size(); i += 2)
            id += static_cast<char>(std::stoi(line.substr(i, 2), nullptr, 16));
        const auto barcode = thresh::plot::code128(id);
        if (!barcode) {
            std::cout << number << '\t' << barcode.error().message << '\n';
            continue;
        }
        std::ofstream(fmt::format("{}/{:04}.svg", argv[1], number)) << barcode->svg;
    }
    return 0;
}

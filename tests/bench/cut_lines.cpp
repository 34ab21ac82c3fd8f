// Cuts a file into lines and cells and does nothing else, one thread, file in memory: what the plain path is
// made of, two ways. Prints the number of cells.
//   cut_lines scan|fccp FILE
#include "intake/scan.hpp"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <libfccp/csv.h>
#include <string>

int main(int argc, char** argv) {
    if (argc != 3)
        return 2;
    std::ifstream file(argv[2], std::ios::binary);
    std::string text;
    file.seekg(0, std::ios::end);
    text.resize(static_cast<std::size_t>(file.tellg()));
    file.seekg(0);
    file.read(text.data(), static_cast<std::streamsize>(text.size()));
    std::size_t cells = 0;
    if (std::string(argv[1]) == "fccp") {
        io::LineReader lines(argv[2], text.data(), text.data() + text.size());
        while (char* line = lines.next_line())
            cells += 1 + static_cast<std::size_t>(
                             std::count(line, line + std::char_traits<char>::length(line), ','));
    } else {
        thresh::intake::Rows rows;
        const std::string_view all = text;
        for (std::size_t at = 0; at < all.size();) { // pieces as the intake takes them
            const std::size_t end = std::min(all.size(), at + (std::size_t{1} << 18));
            const std::size_t last = all.rfind('\n', end - 1);
            thresh::intake::scan_rows(all.substr(at, last + 1 - at), 0, {',', '"'}, false, rows);
            cells += rows.rows() == 0 ? 0 : std::size_t{rows.row_last.back()} + 1;
            at = last + 1;
        }
    }
    std::printf("%zu\n", cells);
    return 0;
}

// cut_records: standard input, decoded and cut into records as every export is, with commas and double
// quotes; prints an array of arrays of cells. Blank lines are no records.
#include "intake/encoding.hpp"
#include "intake/record.hpp"

#include <cstdio>
#include <iostream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>

using namespace thresh::intake;

int main() {
    const std::string bytes{std::istreambuf_iterator<char>(std::cin), {}};
    const auto found = detect_encoding(bytes, std::nullopt);
    if (!found) {
        std::fprintf(stderr, "%s\n", found.error().message.c_str());
        return 1;
    }
    const Decoded text = decode(bytes, *found);
    RecordCutter cutter(text.text, {',', '"'});
    Record record;
    auto records = nlohmann::json::array();
    while (cutter.next(record)) {
        if (record.raw.empty())
            continue;
        auto cells = nlohmann::json::array();
        for (const CellText& cell : record.cells)
            cells.push_back(std::string(cell.text));
        records.push_back(cells);
    }
    std::printf("%s\n", records.dump().c_str());
    return 0;
}

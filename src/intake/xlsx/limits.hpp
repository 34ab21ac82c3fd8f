// How much a workbook may ask of the reader. The defaults let every sheet through that a spreadsheet program
// can hold at all (1,048,576 rows) and stop archives that were made to exhaust time or memory.
#pragma once

#include <cstddef>
#include <cstdint>

namespace thresh::intake::xlsx {

struct Limits {
    std::size_t parts = 10'000;                     // files in the archive
    std::uint64_t part_bytes = 3ULL << 30;          // one part, inflated
    std::uint64_t ratio = 250;                      // inflated : packed, looked at beyond ratio_from bytes
    std::uint64_t ratio_from = 64ULL << 20;         //
    std::uint64_t shared_text_bytes = 512ULL << 20; // all shared strings together, UTF-8
    std::size_t cell_text_bytes = 1U << 20; // one cell; spreadsheet programs stop at 32,767 characters
    std::size_t xml_token_bytes = 4U << 20; // one tag or comment, which the XML parser must hold whole
    std::size_t xml_depth = 200;            //
    std::size_t sheets = 4'096;             //
    std::size_t styles = 1U << 18;          //
    std::size_t merged_ranges = 1U << 16;   //
    std::uint64_t cells = 64'000'000;       // one sheet
};

// The grid that every spreadsheet program of this format has.
inline constexpr std::uint32_t max_rows = 1'048'576;
inline constexpr std::uint32_t max_columns = 16'384;

} // namespace thresh::intake::xlsx

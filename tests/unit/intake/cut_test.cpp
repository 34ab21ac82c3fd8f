// Cutting text into records and cells, by wide instructions, by plain ones and record by record, against an
// independent cutter: fast-cpp-csv-parser, which knows rectangular text and doubled quotes.
#include "intake/record.hpp"
#include "intake/scan.hpp"

#include <catch2/catch.hpp>
#include <libfccp/csv.h>

#include <array>
#include <string>
#include <vector>

using namespace thresh;

namespace {

constexpr unsigned kColumns = 5;
using Cells = std::vector<std::string>;

// Random rectangular text; with `quotes` some cells are quoted and hold delimiters and doubled quotes.
std::string random_text(std::uint64_t seed, std::size_t rows, bool quotes, const char* end) {
    std::uint32_t state = static_cast<std::uint32_t>(seed) * 2654435761U + 1;
    const auto pick = [&](std::uint32_t below) {
        state = state * 1664525 + 1013904223;
        return (state >> 16) % below;
    };
    std::string text;
    for (std::size_t row = 0; row < rows; ++row) {
        for (unsigned column = 0; column < kColumns; ++column) {
            std::string cell;
            for (std::uint32_t n = pick(12); n > 0; --n)
                cell += "abc019.- %<"[pick(11)];
            if (quotes && pick(3) == 0) {
                cell += pick(2) == 0 ? ",;" : "\"\"x\"\"";
                cell = '"' + cell + '"';
            }
            text += (column == 0 ? "" : ",") + cell;
        }
        text += end;
    }
    return text;
}

template <typename Quotes>
std::vector<Cells> cut_by_library(const std::string& text) {
    io::CSVReader<kColumns, io::trim_chars<>, Quotes> reader("text", text.data(), text.data() + text.size());
    std::array<char*, kColumns> cell{};
    std::vector<Cells> rows;
    while (reader.read_row(cell[0], cell[1], cell[2], cell[3], cell[4]))
        rows.emplace_back(cell.begin(), cell.end());
    return rows;
}

std::vector<Cells> cut_record_by_record(const std::string& text) {
    intake::RecordCutter cutter(text, {',', '"'}, true);
    intake::Record record;
    std::vector<Cells> rows;
    while (cutter.next(record)) {
        rows.emplace_back();
        for (const intake::CellText& cell : record.cells)
            rows.back().emplace_back(cell.text);
    }
    return rows;
}

std::vector<Cells> cut_by_scan(const std::string& text, bool plain) {
    intake::Rows found;
    intake::scan_rows(text, 0, {',', '"'}, plain, found);
    std::vector<Cells> rows;
    for (std::size_t row = 0; row < found.rows(); ++row) {
        rows.emplace_back();
        std::size_t begin = found.begin(row, 0);
        for (std::size_t cell = found.first(row); cell <= found.row_last[row]; ++cell) {
            const std::size_t end = found.ends[cell];
            rows.back().push_back(text.substr(begin, end - begin));
            begin = end + 1;
        }
        if (!rows.back().back().empty() && rows.back().back().back() == '\r')
            rows.back().back().pop_back();
    }
    return rows;
}

} // namespace

TEST_CASE("text without quotes is cut as fast-cpp-csv-parser cuts it, by every path") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed)
        for (const char* end : {"\n", "\r\n"}) {
            const std::string text = random_text(seed, 60, false, end);
            const auto expected = cut_by_library<io::no_quote_escape<','>>(text);
            REQUIRE(expected.size() == 60);
            CHECK(cut_record_by_record(text) == expected);
            CHECK(cut_by_scan(text, false) == expected);
            CHECK(cut_by_scan(text, true) == expected);
        }
}

TEST_CASE("quoted cells with delimiters and doubled quotes are cut as fast-cpp-csv-parser cuts them") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const std::string text = random_text(seed, 60, true, "\n");
        const auto expected = cut_by_library<io::double_quote_escape<',', '"'>>(text);
        REQUIRE(expected.size() == 60);
        CHECK(cut_record_by_record(text) == expected);
    }
}

// A sheet as lines of text, so that a test can say in one literal what a reader must find.
#pragma once

#include "intake/xlsx/rows.hpp"

#include <string>
#include <string_view>

namespace thresh::test {

// One character for what a cell holds: t(ext) n(umber) d(ate) b(oolean) e(rror) u(ncomputed), and `-`
// missing.
inline char letter_of(intake::xlsx::CellKind kind) {
    return "-tndbeu"[static_cast<int>(kind)];
}

// `1: t'Sample' n36.5 d2024-08-05? -` for a row: kind and text, `?` behind a doubtful cell.
inline std::string dump_row(const intake::xlsx::SheetRow& row) {
    std::string line = std::to_string(row.row) + ":";
    for (const auto& cell : row.cells) {
        line += std::string(" ") + letter_of(cell.kind);
        line += cell.kind == intake::xlsx::CellKind::text ? "'" + cell.text + "'" : cell.text;
        if (cell.doubtful)
            line += "?";
    }
    return line + "\n";
}

// The whole sheet, or the refusal.
inline std::string dump_sheet(const intake::xlsx::Book& book, std::size_t index, bool spread = false) {
    std::string lines;
    const auto read = intake::xlsx::sheet_to_records(
        book, index,
        [&](const intake::xlsx::SheetRow& row) {
            intake::xlsx::SheetRow shown = row;
            if (spread)
                intake::xlsx::spread_spans(shown);
            lines += dump_row(shown);
            return true;
        },
        [&] { lines.clear(); });
    return read ? lines : "refused: " + read.error().message;
}

// Of the first sheet.
inline std::vector<intake::xlsx::MergedRange> merged_ranges(const intake::xlsx::Book& book) {
    struct Nobody : intake::xlsx::CellSink {
        bool cell(const intake::xlsx::Cell&) override { return true; }
    } nobody;
    return book.read_sheet(0, nobody).value();
}

inline std::string dump_book(std::string_view bytes, bool spread = false,
                             const intake::xlsx::Limits& limits = {}) {
    const auto book = intake::xlsx::Book::open(bytes, limits);
    return book ? dump_sheet(*book, 0, spread) : "refused: " + book.error().message;
}

} // namespace thresh::test

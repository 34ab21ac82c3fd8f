// Short ways for the tests of intake: text in, readings out, one cell as text.
#pragma once

#include "intake/read_exports.hpp"

#include <thresh/intake/exports.hpp>

#include <fmt/format.h>
#include <string>
#include <vector>

namespace intake_test {

inline const thresh::ConstituentTable& table() {
    static const thresh::ConstituentTable kTable;
    return kTable;
}

inline thresh::intake::Input input(std::string text, std::string source = "a.csv") {
    return {std::move(source), std::make_shared<thresh::intake::MemorySource>(std::move(text)), {}};
}

inline thresh::Readings read(std::string text, const thresh::intake::ExportOptions& options = {}) {
    return thresh::intake::read_exports({input(std::move(text))}, table(), options);
}

// A cell in words: the decimal with its exported digits, `missing`, `unreadable:text`, `below:limit`,
// `doubtful:text`, `none` when the table has no such column. `row` counts over all blocks.
inline std::string cell(const thresh::Readings& readings, std::size_t row, thresh::ConstituentId id) {
    for (const thresh::Block& block : readings.blocks) {
        if (row < block.first || row >= block.first + block.rows)
            continue;
        const auto column = block.table->find(id);
        if (!column)
            return "none";
        const thresh::Cell cell = block.cell(row - block.first, *column);
        switch (cell.state()) {
        case thresh::CellState::missing:
            return "missing";
        case thresh::CellState::unreadable:
            return "unreadable:" + block.side[cell.side()].text;
        case thresh::CellState::below_limit:
            return fmt::format("below:{}", block.side[cell.side()].value);
        case thresh::CellState::doubtful:
            return "doubtful:" + block.side[cell.side()].text;
        case thresh::CellState::number:
            break;
        }
        if (!cell.is_decimal())
            return fmt::format("wide:{}", block.side[cell.side()].value);
        return fmt::format("{:.{}f}", thresh::to_double(cell), cell.decimals());
    }
    return "no row";
}

inline std::string text(const thresh::Readings& readings, std::size_t row, thresh::TextField field) {
    for (const thresh::Block& block : readings.blocks)
        if (row >= block.first && row < block.first + block.rows) {
            const thresh::TextId id = block.text_of(field, row - block.first);
            return id == thresh::kNoText ? "" : std::string(readings.pool(field)[id]);
        }
    return "no row";
}

inline std::string sample(const thresh::Readings& readings, std::size_t row) {
    return text(readings, row, thresh::TextField::sample);
}

inline std::string time(const thresh::Readings& readings, std::size_t row) {
    for (const thresh::Block& block : readings.blocks)
        if (row >= block.first && row < block.first + block.rows)
            return to_text(block.time_of(row - block.first));
    return "no row";
}

inline std::uint32_t line(const thresh::Readings& readings, std::size_t row) {
    for (const thresh::Block& block : readings.blocks)
        if (row >= block.first && row < block.first + block.rows)
            return block.line[row - block.first];
    return 0;
}

inline std::vector<thresh::IntakeNote> notes(const thresh::Readings& readings, std::string_view code) {
    std::vector<thresh::IntakeNote> found;
    for (const thresh::IntakeNote& note : readings.notes)
        if (note.code == code)
            found.push_back(note);
    return found;
}

} // namespace intake_test

// Rows of text cells into blocks: the straightforward way, for text files and sheets alike.
#pragma once

#include "intake/part.hpp"
#include "intake/record.hpp"
#include "intake/table_plan.hpp"

#include <thresh/core/same_text.hpp>

namespace thresh::intake {

class BlockBuilder {
  public:
    // All must outlive the builder; ids go into `pools`.
    BlockBuilder(const TablePlan& plan, const HeadingDictionary& dictionary, Pools& pools, Part& part)
        : plan_(plan), dictionary_(dictionary), pools_(pools), part_(part) {
        part_.repeats_differ.resize(plan.repeats.size());
        part_.repeats_line.resize(plan.repeats.size());
        for (std::size_t which = 0; which < offset_.size(); ++which)
            offset_[which] = part_.offsets[which].empty() ? kNoOffset : part_.offsets[which].back().offset;
    }

    // Reads one record and counts it. `new_table`: it is another heading and was not taken; stop here.
    RowOutcome add(const Record& record);

    // For the fast path, which fills rows itself -------------------------------------------------------

    // The block that the next row goes to, with room for it.
    Block& open_block() {
        if (!part_.blocks.empty() && part_.blocks.back().rows < Block::kMaxRows)
            return part_.blocks.back();
        return new_block();
    }
    void reserve_rows(std::size_t rows) { expected_rows_ = rows; }
    // A cell of number column `column`, whatever it holds; side entries go to the open block.
    Cell number(std::size_t column, const CellText& cell);
    // The id of a text, trimmed, on one line; kNoText when blank.
    TextId text(TextField field, std::string_view text) {
        // Columns such as the instrument's or the operator's hold few texts, which nearly always differ here.
        const std::size_t place = text.empty() ? 0 : text.size() + static_cast<unsigned char>(text.back());
        Last& last = last_[static_cast<std::size_t>(field)][place % kRemembered];
        return same_text(text, last.text) ? last.id : other_text(field, text, last);
    }
    // The same for a trimmed text that the pool does not hold and that nothing guards; `hash`: its
    // hash_bytes.
    TextId new_text(TextField field, std::string_view text, std::uint64_t hash);
    RawTime time(std::size_t which, std::string_view text, SheetKind kind, std::uint32_t line);
    void event(RowEvent kind, std::uint32_t line, std::uint32_t column, std::string_view example);

  private:
    struct Last {
        std::string text;
        TextId id = kNoText;
    };
    Block& new_block();
    TextId other_text(TextField field, std::string_view text, Last& last);
    bool plain_time(std::string_view text, RawTime& time);
    RowOutcome reject(const Record& record, std::string reason);
    RowOutcome not_a_reading(const Record& record, RowEvent kind);
    std::string foreign_reason(const Record& record) const;
    RowOutcome judge_numberless(const Record& record, std::size_t filled, std::size_t error_words);
    void compare_repeats(const Record& record);
    void append(const Record& record);
    Cell store(const NumberCell& number, const CellText& cell);
    std::string_view cell_at(const Record& record, std::uint32_t position) const {
        return position < record.cells.size() ? record.cells[position].text : std::string_view();
    }

    void new_offset(std::size_t which, std::int16_t offset);

    const TablePlan& plan_;
    const HeadingDictionary& dictionary_;
    Pools& pools_;
    Part& part_;
    std::size_t expected_rows_ = 0;
    std::string scratch_;
    std::vector<NumberCell> read_; // the number cells of the record at hand
    static constexpr std::size_t kRemembered = 8;
    std::array<std::array<Last, kRemembered>, kTextFields> last_; // of each text column some cells before
    std::string day_text_;                                        // of plain_time
    std::int64_t day_seconds_ = 0;
    std::array<std::int16_t, 2> offset_; // of the times so far
};

} // namespace thresh::intake

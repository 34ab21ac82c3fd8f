// Rows of plain text straight into blocks. Whatever is not plain goes through BlockBuilder::add, so that both
// ways give the same readings.
#pragma once

#include "intake/block_builder.hpp"
#include "intake/column_lanes.hpp"
#include "intake/file_data.hpp"
#include "intake/scan.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace thresh::intake {

class FastRows {
  public:
    FastRows(const TablePlan& plan, const HeadingDictionary& dictionary, Pools& pools, Part& part,
             Dialect dialect, const ReadSettings& settings)
        : plan_(plan), pools_(pools), part_(part), dialect_(dialect), settings_(settings), rows_(pools.rows),
          builder_(plan, dictionary, pools, part) {
        find_lanes();
    }

    void reserve_rows(std::size_t rows) { builder_.reserve_rows(rows); }

    // Takes the whole rows of `text` that start before `limit`; `last`: the text ends here. Afterwards
    // `taken()` is the offset of the first row not taken. False when a row is the heading of another table;
    // it then starts at taken().
    bool take(std::string_view text, std::size_t limit, bool last);
    std::size_t taken() const { return taken_; }
    // Of the text last given to take(): true only when none of its bytes is beyond ASCII.
    bool ascii() const { return ascii_; }

  private:
    bool take_scanned(std::string_view text, std::size_t limit, bool quoted);
    bool take_slowly(std::string_view text, std::size_t limit, bool last, std::size_t most);
    bool plain_row(std::string_view text, std::size_t row, std::size_t begin, bool quoted);
    void find_lanes();
    bool plain_numbers(std::string_view text, std::size_t first, std::size_t begin, bool quoted,
                       Block& block);
    // What is known of a row's numbers: at least one is there; a cell looks like several.
    struct Met {
        bool good = false, odd = false;
    };
    bool numbers_as_before(std::string_view text, std::size_t first, Cell* cells, bool& good);
    Met any_numbers(std::string_view text, std::size_t first, std::size_t begin, bool quoted, bool lanes,
                    Cell* cells);
    Cell one_number(std::size_t column, std::string_view value, bool quoted, Met& met);
    void ask_ahead(std::string_view text, std::size_t row, std::size_t origin, bool quoted);
    struct ComingId {
        std::string_view id; // trimmed; empty when the row has none
        std::uint64_t hash = 0;
    };
    bool sample_is_plain(const ComingId& sample, TextId& known) const;
    std::string_view cell(std::string_view text, std::size_t first, std::size_t begin, std::size_t position,
                          bool quoted) const {
        std::size_t from = position == 0 ? begin : std::size_t{rows_.ends[first + position - 1]} + 1;
        std::size_t to = rows_.ends[first + position];
        if (text[to] == '\n' && to > from && text[to - 1] == '\r')
            --to;
        if (quoted && to > from && text[from] == dialect_.quote) {
            ++from;
            --to;
        }
        return {text.data() + from, to - from};
    }

    const TablePlan& plan_;
    Pools& pools_;
    Part& part_;
    Dialect dialect_;
    const ReadSettings& settings_;
    Rows& rows_;
    BlockBuilder builder_;
    std::size_t taken_ = 0;
    bool ascii_ = false, returns_ = false; // returns_: the text has carriage returns
    std::vector<std::uint32_t>
        positions_; // of the number columns; empty when they are not read four at a time
    // Nothing: the table has too few number columns, or lanes are not used at all.
    std::optional<ColumnLanes> column_lanes_;
    unsigned unlike_ = 0; // rows one after the other that were not as column_lanes_ expects
    static constexpr int kMostTrust = 32;
    int trust_ = kMostTrust / 2; // in column_lanes_: grows with every row that is as expected
    unsigned rows_to_wait_ = 0;  // until column_lanes_ is tried again
    // Sample IDs of the row being taken and of those to come, by row.
    static constexpr std::size_t kAhead = 16;
    std::array<ComingId, kAhead> coming_{};
};

} // namespace thresh::intake

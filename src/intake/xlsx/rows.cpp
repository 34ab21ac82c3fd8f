// One row is collected and handed on when it ends; its cells and their strings are used again for the next.
// Few sheets have merged ranges, so the first pass hopes for none; otherwise it is repeated. Only ranges of
// up to 50 rows are followed: a heading is not taller, and it bounds the work that a made-up sheet can ask
// for.
#include "intake/xlsx/rows.hpp"

#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/number_text.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <optional>

namespace thresh::intake::xlsx {

namespace {

constexpr std::uint32_t tallest_heading = 50;

class RowCollector : public CellSink {
  public:
    RowCollector(std::vector<MergedRange> merged, const RowSink& sink)
        : merged_(std::move(merged)), sink_(sink) {
        std::stable_sort(merged_.begin(), merged_.end(), [](const MergedRange& a, const MergedRange& b) {
            return a.first_row < b.first_row;
        });
    }

    bool cell(const Cell& cell) override {
        if (enough_ || cell.kind == CellKind::missing || (cell.kind == CellKind::text && cell.text.empty()))
            return true;
        while (width_ <= cell.column) {
            if (row_.cells.size() == width_)
                row_.cells.emplace_back();
            SheetCell& fresh = row_.cells[width_++];
            fresh.text.clear();
            fresh.kind = CellKind::missing;
            fresh.doubtful = false;
        }
        SheetCell& place = row_.cells[cell.column];
        if (place.kind != CellKind::missing) {
            error_ = damaged("worksheet",
                             fmt::format("cell {} has two values", place_name(cell.row, cell.column)));
            return false;
        }
        place.kind = cell.kind;
        place.doubtful = cell.doubtful;
        place.text.assign(cell.text);
        if (cell.kind == CellKind::number)
            show_as_formatted(cell, place.text);
        return true;
    }

    bool row_end(std::uint32_t row) override {
        if (!merged_.empty())
            find_spans(row);
        if (width_ == 0)
            return true;
        row_.row = row;
        row_.cells.resize(width_);
        width_ = 0;
        enough_ = enough_ || !sink_(row_);
        return true; // the merged ranges behind the cells are wanted all the same
    }

    const std::optional<Error>& error() const { return error_; }

  private:
    struct Active {
        MergedRange range;
        std::string text;
    };

    static void show_as_formatted(const Cell& cell, std::string& text) {
        if (cell.percent)
            text = times_hundred(text) + "%";
        const bool whole = text.find_first_not_of("0123456789") == std::string::npos;
        if (whole && text.size() < cell.min_digits)
            text.insert(0, cell.min_digits - text.size(), '0');
    }

    void find_spans(std::uint32_t row) {
        std::erase_if(active_, [row](const Active& one) { return one.range.last_row < row; });
        for (; next_merged_ < merged_.size() && merged_[next_merged_].first_row <= row; ++next_merged_) {
            const MergedRange& range = merged_[next_merged_];
            const bool here = range.first_row == row && range.first_column < width_;
            if (range.last_row >= row)
                active_.push_back({range, here ? row_.cells[range.first_column].text : ""});
        }
        row_.spans.clear();
        for (const Active& one : active_)
            row_.spans.push_back({one.range.first_column, one.range.last_column, one.text});
    }

    std::vector<MergedRange> merged_; // by first row
    std::size_t next_merged_ = 0;
    std::vector<Active> active_;
    const RowSink& sink_;
    SheetRow row_;
    std::size_t width_ = 0; // cells of row_ in use
    bool enough_ = false;   // the sink wants no more
    std::optional<Error> error_;
};

} // namespace

Result<void> sheet_to_records(const Book& book, std::size_t index, const RowSink& sink,
                              const Restart& restart) {
    std::vector<MergedRange> merged;
    for (const bool again : {false, true}) {
        if (again)
            restart();
        RowCollector collector(std::move(merged), sink);
        auto read = book.read_sheet(index, collector);
        if (collector.error())
            return tl::unexpected(*collector.error());
        if (!read)
            return tl::unexpected(std::move(read.error()));
        merged = std::move(*read);
        std::erase_if(merged,
                      [](const MergedRange& m) { return m.last_row - m.first_row >= tallest_heading; });
        if (merged.empty())
            break;
    }
    return {};
}

void spread_spans(SheetRow& row) {
    for (const SheetSpan& span : row.spans) {
        if (span.text.empty())
            continue;
        if (row.cells.size() <= span.last_column)
            row.cells.resize(std::size_t{span.last_column} + 1);
        for (std::size_t column = span.first_column; column <= span.last_column; ++column) {
            SheetCell& cell = row.cells[column];
            if (cell.kind != CellKind::missing)
                continue;
            cell.kind = CellKind::text;
            cell.text = span.text;
        }
    }
}

} // namespace thresh::intake::xlsx

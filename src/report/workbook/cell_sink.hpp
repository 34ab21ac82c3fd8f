// Takes the rows of a table into a sheet, and remembers what the layout of its columns needs.
#pragma once

#include "report/workbook/table_sheet.hpp"

#include <string>
#include <vector>

namespace thresh::report {

class CellSink final : public summary::RowSink {
  public:
    // Columns of the table that are not among `kept` are left out; the others stand in this order.
    CellSink(Book& book, lxw_worksheet* sheet, const summary::Table& table,
             const std::vector<std::size_t>& kept, std::optional<int> digits, SheetFacts& facts);
    void begin_row() override {
        column_ = 0;
        lines_ = 1;
    }
    void text(std::string_view value) override;
    void integer(std::int64_t value) override;
    void number(double value, summary::Shown shown) override;
    void time(Time value) override;
    void missing() override { ++column_; }
    void end_row() override;
    bool wants_notes() const override { return true; }
    void note(std::string_view why) override;

    struct ColumnUse {
        unsigned width = 0; // widest cell, in characters
        bool any = false;
    };
    const std::vector<ColumnUse>& use() const { return use_; } // by column of the sheet

  private:
    static constexpr std::size_t kLeftOut = static_cast<std::size_t>(-1);
    bool taken(unsigned width); // whether the cell is written at all
    const summary::OutColumn& about() const { return table_.columns()[column_ - 1]; }
    void write_text(std::string_view value, Look look);
    lxw_row_t row() const { return row_; }
    lxw_col_t column() const { return static_cast<lxw_col_t>(place_[column_ - 1]); }

    Book& book_;
    lxw_worksheet* sheet_;
    const summary::Table& table_;
    std::vector<std::size_t> place_; // in the sheet, by column of the table
    std::optional<int> digits_;
    SheetFacts& facts_;
    std::vector<ColumnUse> use_;
    std::string spelled_;
    lxw_row_t row_ = 1;
    std::size_t column_ = 0; // of the table, that comes next
    bool any_ = false;
    unsigned lines_ = 1; // of the highest cell of the row
};

} // namespace thresh::report

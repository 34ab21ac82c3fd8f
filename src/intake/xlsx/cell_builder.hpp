// From the pieces of one <c> tag to a cell.
#pragma once

#include "intake/xlsx/book.hpp"

#include <string>
#include <string_view>

namespace thresh::intake::xlsx {

// Collects what stands between <c> and </c>, then says what the cell holds.
class CellBuilder {
  public:
    explicit CellBuilder(const Book::Common& common) : common_(common) {}

    // A new cell with the attributes `t` (type, empty = number) and `s` (style) of its tag.
    void begin(std::string_view type, std::string_view style);
    void value_begins() { value_.clear(); }
    void formula() { has_formula_ = true; }
    void inline_text_begins() { has_inline_ = true; }
    void append(std::string_view piece) { value_ += piece; }
    std::size_t collected() const { return value_.size(); }

    // Fills kind, text and remarks of `cell`; its text stays valid until the next begin(). False when the
    // cell refers to a shared string that the book lacks.
    bool finish(Cell& cell);

  private:
    enum class Type : std::uint8_t { number, shared, text, inline_text, boolean, error, date };

    void finish_number(Cell& cell);
    bool finish_shared(Cell& cell);
    void finish_iso_date(Cell& cell);

    const Book::Common& common_;
    Type type_ = Type::number;
    std::size_t style_ = 0;
    bool has_formula_ = false;
    bool has_inline_ = false;
    std::string value_;
    std::string written_; // number or date text
};

} // namespace thresh::intake::xlsx

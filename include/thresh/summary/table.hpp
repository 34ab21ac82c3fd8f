// A table of results: rows pulled one after the other, so that a million readings need no copy.
#pragma once

#include <thresh/core/constituent.hpp>
#include <thresh/core/time.hpp>

#include <cmath>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace thresh::summary {

enum class ColumnType : std::uint8_t { text, integer, number, time };

struct OutColumn {
    std::string name;
    ColumnType type = ColumnType::text;
    std::uint8_t decimals = 2; // for people (terminal, page, workbook)
    ConstituentId constituent = kNoConstituent;
    std::string unit;             // "%", "nm", ""
    std::string description;      // one line, for the data package and the documentation
    std::uint8_t detail = 0;      // 0: what people look for first; a narrow terminal drops the highest first
    bool sentence = false;        // text of several words that is worth its lines: broken, never cut
    bool path = false;            // its end tells most: cut at the beginning
    std::uint8_t significant = 0; // a number keeps at least so many digits that say something
};

// A mark that people see beside a number: never by colour alone. A provisional number (of readings that are
// all excluded) is shown to people only: files hold a missing value in its place.
// So is a value that its own findings exclude, in a table of readings (`left_out`); `excluded` is a value
// that files hold all the same, with its mark in a column of its own.
enum class Shown : std::uint8_t { plain, low, high, review, excluded, provisional, left_out };

// Files hold a missing value in the place of such a number.
constexpr bool only_for_people(Shown shown) {
    return shown == Shown::provisional || shown == Shown::left_out;
}

// Receives a row cell by cell, in column order.
class RowSink {
  public:
    virtual ~RowSink() = default;
    virtual void begin_row() = 0;
    virtual void text(std::string_view value) = 0; // empty text = missing
    virtual void integer(std::int64_t value) = 0;
    virtual void number(double value, Shown shown = Shown::plain) = 0; // finite
    virtual void time(Time value) = 0;
    virtual void missing() = 0;
    virtual void end_row() = 0;
    // Neighbouring cells of one kind, each as if sent by itself; of numbers NaN = missing, and those that are
    // `whole` (none without it) are integers. For tables of millions of rows: a sink that is worth it takes
    // them in one go.
    virtual void texts(std::span<const std::string_view> values) {
        for (const std::string_view value : values)
            text(value);
    }
    virtual void numbers(std::span<const double> values, std::span<const bool> whole = {}) {
        for (std::size_t i = 0; i < values.size(); ++i)
            if (std::isnan(values[i]))
                missing();
            else if (!whole.empty() && whole[i])
                integer(static_cast<std::int64_t>(values[i]));
            else
                number(values[i]);
    }
    // Whether it matters how a number is shown; without it a table may send a number that is only for people
    // as missing, and any other as plain.
    virtual bool wants_marks() const { return true; }
    // For people: why the number just sent is marked, or why it is missing. Tables make these words only for
    // a sink that wants them.
    virtual bool wants_notes() const { return false; }
    virtual void note(std::string_view) {}
};

class Table {
  public:
    virtual ~Table() = default;
    const std::string& name() const { return name_; }
    const std::vector<OutColumn>& columns() const { return columns_; }
    virtual std::size_t rows() const = 0;
    // Sends rows [first, last) to the sink. May be called from several threads with different sinks.
    virtual void write(std::size_t first, std::size_t last, RowSink& sink) const = 0;

  protected:
    std::string name_;
    std::vector<OutColumn> columns_;
};

// A table that is held whole: for the small ones, and for sorting and selecting rows of any.
struct Value {
    std::variant<std::monostate, std::string, std::int64_t, double, Time> value;
    Shown shown = Shown::plain;
};
class StoredTable final : public Table {
  public:
    StoredTable(std::string name, std::vector<OutColumn> columns);
    // A copy of any table.
    explicit StoredTable(const Table& other);
    void add(std::vector<Value> row); // precondition: one value a column
    std::size_t rows() const override { return rows_.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override;
    std::vector<std::vector<Value>>& data() { return rows_; }
    const std::vector<std::vector<Value>>& data() const { return rows_; }

  private:
    std::vector<std::vector<Value>> rows_;
};

} // namespace thresh::summary

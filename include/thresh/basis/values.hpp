// The one way from a cell to a number: converted values of a reading, on the basis that is wanted.
// Nothing outside this folder sees a raw number without its basis.
#pragma once

#include <thresh/core/readings.hpp>

#include <optional>
#include <span>
#include <vector>

namespace thresh::basis {

// A number as exported (in percent, on its own basis); nothing unless the cell holds one.
// below_limit cells have no number here.
inline std::optional<double> raw_value(const Block& block, std::size_t row, std::size_t column) {
    const Cell cell = block.cell(row, column);
    if (cell.is_decimal())
        return to_double(cell);
    return cell.is_number() ? std::optional(block.side[cell.side()].value) : std::nullopt;
}

// The moisture of a reading, when its table has one and it is a number. Any basis stated for moisture is
// ignored: moisture is always of the sample as read.
std::optional<double> moisture_of(const Block& block, std::size_t row);
// The same for many rows of one block: the moisture column is looked up once.
class MoistureOf {
  public:
    explicit MoistureOf(const Block& block)
        : block_(block), column_(block.table->find(constituent::moisture)) {}
    std::optional<double> operator()(std::size_t row) const {
        return column_ ? raw_value(block_, row, *column_) : std::nullopt;
    }

  private:
    const Block& block_;
    std::optional<std::size_t> column_;
};

// Order of operations everywhere: value * ((100 - to) / (100 - from)), in doubles, nothing rounded between.

// How a table's columns get from their stated to the wanted basis; made once per table and wanted basis.
class Plan {
  public:
    // `below_limit`: what a `<0.05` cell counts for, as a share of its limit (0, 0.5, 1); nothing: no value.
    Plan(const TableColumns& table, Basis wanted, std::optional<double> below_limit = std::nullopt);

    // `values[i]` for each of table.numbers: the converted number, NaN where there is none (missing,
    // doubtful, below limit, or moisture needed and absent). For hot loops; everyone else takes `value`.
    // `moisture`: what conversions rest on in place of the reading's own, where it was corrected.
    // Precondition: `values` has room(). What is written behind the columns means nothing.
    std::size_t room() const { return own_.size(); }
    void convert_row(const Block& block, std::size_t row, std::span<double> values,
                     std::optional<double> moisture = std::nullopt) const;
    // The same for some columns only: values[i] of columns[i], NaN too where columns[i] is kNoColumn.
    static constexpr std::uint32_t kNoColumn = static_cast<std::uint32_t>(-1);
    void convert_some(const Block& block, std::size_t row, std::span<const std::uint32_t> columns,
                      double* values) const;
    // One value.
    std::optional<double> value(const Block& block, std::size_t row, std::size_t column) const;
    // Whether this column needs the reading's moisture to get to the wanted basis.
    bool needs_moisture(std::size_t column) const { return is_of_row(factors_[factor_of_[column]]); }

  private:
    enum class Kind : std::uint8_t { keep, from_as_is, to_as_is, fixed_factor };
    // A factor that columns share. `own`: keep and fixed_factor, the same in every row; `stated_percent`:
    // to_as_is, the stated moisture.
    struct Factor {
        Kind kind;
        double own, stated_percent;
    };
    // The factor in a row of this moisture.
    double in_row(const Factor& factor, double moisture) const;
    bool is_of_row(const Factor& factor) const {
        return factor.kind == Kind::from_as_is || factor.kind == Kind::to_as_is;
    }
    // NaN unless the moisture of the row is needed and in the domain.
    double moisture_for(const Block& block, std::size_t row) const;
    void convert_by_several(const Cell* cells, double moisture, double* values) const;
    // All of them, by index; room for more than a few is made in `many`.
    const double* all_in_row(double moisture, double* few, std::vector<double>& many) const;

    std::vector<Factor> factors_;          // each once
    std::vector<std::uint32_t> factor_of_; // by column: index into factors_
    std::vector<double> own_;              // by column: its own factor or kFactorOfRow; behind them: room
    std::size_t of_row_ = 0;               // index of the factor that stands in its place
    std::size_t varying_ = 0;              // how many factors differ from row to row
    std::optional<std::size_t> moisture_column_;
    Basis wanted_;
    double below_limit_; // share of the limit, NaN: no value
};

} // namespace thresh::basis

// Cells to numbers. A plan knows for each column whether its factor is the row's or the column's own, so a
// row costs one division for its factor and one for each decimal. Moisture itself, parts of oil and protein,
// ratios and numbers about the reading are never converted.
#include <thresh/basis/values.hpp>

#include "basis/factor.hpp"
#include "basis/multiply.hpp"
#include "basis/number_or_nan.hpp"

#include <algorithm>
#include <cassert>
#include <thresh/basis/convert.hpp>
#include <thresh/core/nothing.hpp>

namespace thresh::basis {

namespace {

// Tables nearly always state one or two bases; more than this cost an allocation a row.
constexpr std::size_t kFewFactors = 16;

bool converts(const Column& column) {
    return column.part_of == PartOf::sample && column.constituent != constituent::moisture;
}

} // namespace

std::optional<double> moisture_of(const Block& block, std::size_t row) {
    const auto column = block.table->find(constituent::moisture);
    return column ? raw_value(block, row, *column) : std::nullopt;
}

Plan::Plan(const TableColumns& table, Basis wanted, std::optional<double> below_limit)
    : moisture_column_(table.find(constituent::moisture)), wanted_(wanted),
      below_limit_(below_limit.value_or(kNothing)) {
    const bool to_fixed = wanted.kind == Basis::Kind::fixed;
    assert(!to_fixed || valid_moisture(wanted.percent));
    for (const Column& column : table.numbers) {
        const bool from_fixed = column.basis.kind == Basis::Kind::fixed;
        assert(!from_fixed || valid_moisture(column.basis.percent));
        Kind kind = Kind::keep;
        double own_factor = 1;
        if (converts(column) && from_fixed && to_fixed) {
            kind = Kind::fixed_factor;
            own_factor = factor(column.basis.percent, wanted.percent);
        } else if (converts(column) && from_fixed) {
            kind = Kind::to_as_is;
        } else if (converts(column) && to_fixed) {
            kind = Kind::from_as_is;
        }
        const Factor factor{kind, own_factor, kind == Kind::to_as_is ? column.basis.percent : 0};
        const auto same = [&](const Factor& f) {
            return f.kind == kind && f.own == own_factor && f.stated_percent == factor.stated_percent;
        };
        const auto at = std::find_if(factors_.begin(), factors_.end(), same);
        factor_of_.push_back(static_cast<std::uint32_t>(at - factors_.begin()));
        own_.push_back(is_of_row(factor) ? kFactorOfRow : own_factor);
        if (at != factors_.end())
            continue;
        if (is_of_row(factor)) {
            of_row_ = factors_.size();
            ++varying_;
        }
        factors_.push_back(factor);
    }
    own_.resize(room_for(own_.size()), 1);
}

double Plan::moisture_for(const Block& block, std::size_t row) const {
    if (varying_ == 0 || !moisture_column_)
        return kNothing;
    const Cell cell = block.cells[row * factor_of_.size() + *moisture_column_];
    const double moisture = number_or_nan(block, cell);
    return valid_moisture(moisture) ? moisture : kNothing;
}

double Plan::in_row(const Factor& factor, double moisture) const {
    switch (factor.kind) {
    case Kind::from_as_is:
        return basis::factor(moisture, wanted_.percent); // NaN when it is needed and absent
    case Kind::to_as_is:
        return basis::factor(factor.stated_percent, moisture);
    case Kind::keep:
    case Kind::fixed_factor:
        break;
    }
    return factor.own;
}

const double* Plan::all_in_row(double moisture, double* few, std::vector<double>& many) const {
    if (factors_.size() > kFewFactors)
        many.resize(factors_.size());
    double* const factors = many.empty() ? few : many.data();
    for (std::size_t f = 0; f < factors_.size(); ++f)
        factors[f] = in_row(factors_[f], moisture);
    return factors;
}

// Columns of several stated moistures, wanted as-is.
void Plan::convert_by_several(const Cell* cells, double moisture, double* values) const {
    double few[kFewFactors];
    std::vector<double> many;
    const double* const factors = all_in_row(moisture, few, many);
    for (std::size_t i = 0; i < factor_of_.size(); ++i)
        values[i] = cells[i].or_nan() * factors[factor_of_[i]];
}

void Plan::convert_row(const Block& block, std::size_t row, std::span<double> values,
                       std::optional<double> corrected) const {
    assert(values.size() >= room());
    double moisture = moisture_for(block, row);
    if (corrected)
        moisture = valid_moisture(*corrected) ? *corrected : kNothing;
    const std::size_t columns = factor_of_.size();
    const Cell* cells = block.cells.data() + row * columns;
    const double of_row = varying_ == 0 ? 1 : in_row(factors_[of_row_], moisture);
    const bool beside = multiply(cells, own_.data(), of_row, columns, values.data());
    if (varying_ > 1)
        convert_by_several(cells, moisture, values.data());
    for (std::size_t i = 0; beside && i < columns; ++i)
        if (cells[i].beside())
            values[i] =
                number_or_nan(block, cells[i], below_limit_) * in_row(factors_[factor_of_[i]], moisture);
}

void Plan::convert_some(const Block& block, std::size_t row, std::span<const std::uint32_t> columns,
                        double* values) const {
    const double moisture = moisture_for(block, row);
    double few[kFewFactors];
    std::vector<double> many;
    const double* const factors = all_in_row(moisture, few, many);
    for (std::size_t i = 0; i < columns.size(); ++i)
        values[i] = columns[i] == kNoColumn
                        ? kNothing
                        : number_or_nan(block, block.cell(row, columns[i]), below_limit_) *
                              factors[factor_of_[columns[i]]];
}

std::optional<double> Plan::value(const Block& block, std::size_t row, std::size_t column) const {
    const double moisture = moisture_for(block, row);
    const double number = number_or_nan(block, block.cell(row, column), below_limit_) *
                          in_row(factors_[factor_of_[column]], moisture);
    if (number != number)
        return std::nullopt;
    return number;
}

} // namespace thresh::basis
